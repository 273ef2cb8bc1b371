package desk

import (
	"fmt"
	"net/netip"
	"net/url"
	"strconv"
	"strings"

	"elbowroom/app"
)

// Origin is where browsers find the pages: scheme, host and port (RFC 6454).
// A passkey holds for one host and is never asked for from another. The zero
// Origin is nowhere: there are no passkeys.
type Origin struct{ text, host string }

// localhost is the one host at which browsers make passkeys without TLS.
const localhost = "localhost"

// mostHost is the greatest length of a name (RFC 1035, section 2.3.4), and
// mostLabel that of a part between dots.
const (
	mostHost  = 253
	mostLabel = 63
)

// ParseOrigin reads an origin such as https://bay.example. The error wraps
// app.ErrInput and says which part cannot be.
func ParseOrigin(text string) (Origin, error) {
	bad := func(why string) (Origin, error) {
		return Origin{}, fmt.Errorf("%w: origin %q: %s; write it as browsers show it, such as https://bay.example", app.ErrInput, cut(text, mostHost), why)
	}
	u, err := url.Parse(text)
	if err != nil {
		return bad("it is no address")
	}
	host, port := strings.ToLower(u.Hostname()), u.Port()
	switch {
	case u.Scheme != "https" && (u.Scheme != "http" || host != localhost):
		return bad("passkeys need https, but for " + localhost)
	case u.User != nil || u.RawQuery != "" || u.ForceQuery || u.Fragment != "" || strings.Contains(text, "#") || u.Path != "" && u.Path != "/":
		return bad("it is more than scheme, host and port")
	case isNumber(host):
		return bad("passkeys hold for a name and not for a number")
	case !isHost(host):
		return bad("its host is no name in letters a to z, digits, hyphens and dots")
	}
	if n, err := strconv.ParseUint(port, 10, 16); port != "" && (err != nil || n == 0) || strings.HasSuffix(u.Host, ":") {
		return bad("its port is none")
	}
	o := Origin{text: u.Scheme + "://" + host, host: host}
	if std := map[string]string{"https": "443", "http": "80"}[u.Scheme]; port != "" && strings.TrimLeft(port, "0") != std {
		o.text += ":" + strings.TrimLeft(port, "0")
	}
	return o, nil
}

// isNumber reports whether browsers read a host as an address of numbers.
func isNumber(host string) bool {
	if _, err := netip.ParseAddr(host); err == nil {
		return true
	}
	last := host[strings.LastIndex(host, ".")+1:]
	return last != "" && strings.Trim(last, "0123456789") == ""
}

func isHost(host string) bool {
	if host == "" || len(host) > mostHost {
		return false
	}
	for _, label := range strings.Split(host, ".") {
		ends := strings.HasPrefix(label, "-") || strings.HasSuffix(label, "-")
		if label == "" || len(label) > mostLabel || ends || strings.Trim(label, "abcdefghijklmnopqrstuvwxyz0123456789-") != "" {
			return false
		}
	}
	return true
}

// String returns the origin as browsers send it.
func (o Origin) String() string { return o.text }

// Host returns the name that passkeys hold for.
func (o Origin) Host() string { return o.host }

// IsZero reports whether it is nowhere.
func (o Origin) IsZero() bool { return o.text == "" }

// Encrypted reports whether browsers come over TLS.
func (o Origin) Encrypted() bool { return strings.HasPrefix(o.text, "https:") }
