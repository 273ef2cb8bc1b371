package desk

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"elbowroom/joblog"
	"elbowroom/store"
)

// keptKey is what is kept of a passkey, in store.Passkey.Data.
type keptKey struct {
	Form    int           `json:"form"`             // keyForm
	Holder  []byte        `json:"holder"`           // handle of its person: chance, no name
	Key     []byte        `json:"key"`              // public key (COSE, RFC 9052)
	Count   uint32        `json:"count"`            // of signatures, as the device last said
	Flags   byte          `json:"flags"`            // of the device, as it last said (WebAuthn Level 3, 6.1)
	Model   []byte        `json:"model,omitempty"`  // of the device (AAGUID)
	Ways    []string      `json:"ways,omitempty"`   // how it is reached: internal, usb, nfc
	Used    joblog.Moment `json:"used,omitzero"`    // last
	Stopped bool          `json:"stopped,omitzero"` // its count went back: there may be a copy
}

// keyForm is how passkeys are kept now.
const keyForm = 1

func readKey(p store.Passkey) (keptKey, error) {
	var k keptKey
	err := json.Unmarshal(p.Data, &k)
	if err != nil || k.Form != keyForm || len(k.Holder) == 0 || len(k.Key) == 0 {
		return keptKey{}, store.Errorf(store.Damaged, "the passkey %q cannot be read", p.Name)
	}
	return k, nil
}

func (k keptKey) text() ([]byte, error) {
	k.Form = keyForm
	return json.Marshal(k)
}

// keptOf is what is kept of a passkey that was just made.
func keptOf(c *webauthn.Credential, holder []byte) keptKey {
	k := keptKey{
		Holder: holder, Key: c.PublicKey, Count: c.Authenticator.SignCount, Flags: byte(c.Flags.ProtocolValue()), Model: c.Authenticator.AAGUID,
	}
	for _, t := range c.Transport {
		k.Ways = append(k.Ways, string(t))
	}
	return k
}

func (k keptKey) credential(id []byte) webauthn.Credential {
	c := webauthn.Credential{
		ID: id, PublicKey: k.Key, Flags: webauthn.NewCredentialFlags(protocol.AuthenticatorFlags(k.Flags)),
		Authenticator: webauthn.Authenticator{AAGUID: k.Model, SignCount: k.Count},
	}
	for _, w := range k.Ways {
		c.Transport = append(c.Transport, protocol.AuthenticatorTransport(w))
	}
	return c
}

// holder is a person as the library wants one.
type holder struct {
	handle        []byte
	name, display string
	keys          []webauthn.Credential
}

func (h holder) WebAuthnID() []byte                         { return h.handle }
func (h holder) WebAuthnName() string                       { return h.name }
func (h holder) WebAuthnDisplayName() string                { return h.display }
func (h holder) WebAuthnCredentials() []webauthn.Credential { return h.keys }

// holderOf returns a person with all their passkeys. The handle is that of the
// first of them, or nil.
func holderOf(p store.Person) (holder, error) {
	h := holder{name: string(p.ID), display: p.Name}
	for _, x := range p.Passkeys {
		k, err := readKey(x)
		if err != nil {
			return holder{}, err
		}
		if h.handle == nil {
			h.handle = k.Holder
		}
		h.keys = append(h.keys, k.credential(x.ID))
	}
	return h, nil
}

// PasskeyID names a passkey of a person in forms.
type PasskeyID string

func passkeyID(id []byte) PasskeyID {
	h := sha256.Sum256(id)
	return PasskeyID(hex.EncodeToString(h[:12]))
}

// indexOf returns where among the passkeys of a person one is, or -1.
func indexOf(keys []store.Passkey, id []byte) int {
	for i := range keys {
		if bytes.Equal(keys[i].ID, id) {
			return i
		}
	}
	return -1
}
