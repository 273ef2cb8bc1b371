// Package desktest plays, in tests, what stands on the other side of the desk:
// a device that makes passkeys and shows them, together with its browser.
//
// It does what WebAuthn Level 3 (https://www.w3.org/TR/webauthn-3/) asks of
// client and authenticator for one kind of key, ES256 without attestation, and
// it can be told to misbehave. It is independent of what the desk checks with.
package desktest

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"strings"
)

// Flags of authenticator data, section 6.1.
const (
	userPresent  = 0x01
	userVerified = 0x04
	canBackUp    = 0x08
	backedUp     = 0x10
	hasKey       = 0x40
)

// Device holds passkeys. The zero value with an Origin behaves well and counts
// no signatures, as devices do that keep copies elsewhere.
type Device struct {
	Origin   string // that the browser says it is at
	Careless bool   // does not check who its user is
	Step     uint32 // by how much a signature moves the count on
	Count    uint32
	Synced   bool // says that its keys are backed up
	Keys     []*Key
}

// Key is one passkey on a device.
type Key struct {
	ID, Holder []byte
	Party      string
	private    *ecdsa.PrivateKey
}

var enc = base64.RawURLEncoding

type entity struct {
	ID string `json:"id"`
}

// asked is what we read of the options of both kinds.
type asked struct {
	PublicKey struct {
		Challenge string   `json:"challenge"`
		Party     entity   `json:"rp"`
		PartyID   string   `json:"rpId"`
		User      entity   `json:"user"`
		Exclude   []entity `json:"excludeCredentials"`
	} `json:"publicKey"`
}

type answer struct {
	ID       string   `json:"id"`
	RawID    string   `json:"rawId"`
	Type     string   `json:"type"`
	Results  struct{} `json:"clientExtensionResults"`
	Response response `json:"response"`
}

type response struct {
	Client      string `json:"clientDataJSON"`
	Attestation string `json:"attestationObject,omitempty"`
	Data        string `json:"authenticatorData,omitempty"`
	Signature   string `json:"signature,omitempty"`
	Holder      string `json:"userHandle,omitempty"`
}

// ErrExcluded is what a device says that has a key of this person already.
var ErrExcluded = errors.New("there is a passkey of this person on the device already")

// Make makes a passkey as the options ask (section 5.1.3).
func (d *Device) Make(options []byte) ([]byte, error) {
	var o asked
	if err := json.Unmarshal(options, &o); err != nil {
		return nil, err
	}
	for _, x := range o.PublicKey.Exclude {
		for _, k := range d.Keys {
			if x.ID == enc.EncodeToString(k.ID) {
				return nil, ErrExcluded
			}
		}
	}
	holder, err := enc.DecodeString(o.PublicKey.User.ID)
	if err != nil {
		return nil, err
	}
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	k := &Key{ID: make([]byte, 32), Holder: holder, Party: o.PublicKey.Party.ID, private: private}
	if _, err := rand.Read(k.ID); err != nil {
		return nil, err
	}
	point, err := private.PublicKey.Bytes() // 4, x, y
	if err != nil {
		return nil, err
	}
	data := d.data(k.Party, hasKey)
	data = append(data, make([]byte, 16)...) // model: none
	data = binary.BigEndian.AppendUint16(data, uint16(len(k.ID)))
	data = append(data, k.ID...)
	data = append(data, coseKey(point[1:33], point[33:])...)
	d.Keys = append(d.Keys, k)
	return json.Marshal(k.answer(response{
		Client: enc.EncodeToString(d.client("webauthn.create", o.PublicKey.Challenge)), Attestation: enc.EncodeToString(attested(data)),
	}))
}

// Show signs with the newest key for the relying party (section 5.1.4).
func (d *Device) Show(options []byte) ([]byte, error) {
	var o asked
	if err := json.Unmarshal(options, &o); err != nil {
		return nil, err
	}
	for i := len(d.Keys) - 1; i >= 0; i-- {
		if d.Keys[i].Party == o.PublicKey.PartyID {
			return d.sign(d.Keys[i], o.PublicKey.Challenge)
		}
	}
	return nil, errors.New("no passkey for " + o.PublicKey.PartyID)
}

func (d *Device) sign(k *Key, challenge string) ([]byte, error) {
	d.Count += d.Step
	data, client := d.data(k.Party, 0), d.client("webauthn.get", challenge)
	hash := sha256.Sum256(client)
	sum := sha256.Sum256(append(append([]byte{}, data...), hash[:]...))
	signature, err := ecdsa.SignASN1(rand.Reader, k.private, sum[:])
	if err != nil {
		return nil, err
	}
	return json.Marshal(k.answer(response{
		Client: enc.EncodeToString(client), Data: enc.EncodeToString(data), Signature: enc.EncodeToString(signature), Holder: enc.EncodeToString(k.Holder),
	}))
}

func (k *Key) answer(r response) answer {
	id := enc.EncodeToString(k.ID)
	return answer{ID: id, RawID: id, Type: "public-key", Response: r}
}

// client is what the browser adds (section 5.8.1).
func (d *Device) client(kind, challenge string) []byte {
	text := `{"type":"` + kind + `","challenge":"` + challenge + `","origin":"` + strings.ReplaceAll(d.Origin, `"`, "") + `","crossOrigin":false}`
	return []byte(text)
}

// data is the head of authenticator data (section 6.1).
func (d *Device) data(party string, flags byte) []byte {
	flags |= userPresent
	if !d.Careless {
		flags |= userVerified
	}
	if d.Synced {
		flags |= canBackUp | backedUp
	}
	hash := sha256.Sum256([]byte(party))
	return binary.BigEndian.AppendUint32(append(hash[:], flags), d.Count)
}

// coseKey is a public key of ES256 in COSE form (RFC 9053, section 7.1.1).
func coseKey(x, y []byte) []byte {
	key := []byte{0xa5, 0x01, 0x02, 0x03, 0x26, 0x20, 0x01, 0x21, 0x58, 0x20}
	key = append(key, x...)
	return append(append(key, 0x22, 0x58, 0x20), y...)
}

// attested is an attestation object of the format none (section 8.7).
func attested(data []byte) []byte {
	o := []byte("\xa3\x63fmt\x64none\x67attStmt\xa0\x68authData\x59")
	o = binary.BigEndian.AppendUint16(o, uint16(len(data)))
	return append(o, data...)
}
