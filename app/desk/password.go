package desk

import (
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"

	"elbowroom/app"
)

// What a password costs to try: Argon2id with the second recommended option of
// RFC 9106, section 4 (3 passes, 64 MiB, 4 lanes), 128 bits of salt, 256 of hash.
const (
	passTime   = 3
	passMemory = 64 << 10 // KiB
	passLanes  = 4
	passSalt   = 16
	passHash   = 32

	quickMemory = 64 // KiB, for tests
)

// LeastPassword is the least number of characters of a password, as NIST SP
// 800-63B-4, section 3.1.1.2, asks of a password that is the only factor;
// mostPassword bounds the work.
const (
	LeastPassword = 15
	mostPassword  = 200
)

// hashing bounds how many passwords are tried at once: each takes 64 MiB.
var hashing = make(chan struct{}, 2)

// hashPassword returns what is kept of a password, in the text form of the
// reference implementation of Argon2.
func (d *Desk) hashPassword(password string) ([]byte, error) {
	if n := utf8.RuneCountInString(password); n < LeastPassword {
		return nil, fmt.Errorf("%w: password: %d characters; take %d at least, such as four words", app.ErrInput, n, LeastPassword)
	}
	if len(password) > mostPassword {
		return nil, fmt.Errorf("%w: password: longer than %d bytes", app.ErrInput, mostPassword)
	}
	salt := make([]byte, passSalt)
	if _, err := io.ReadFull(d.opts.Random, salt); err != nil {
		return nil, err
	}
	memory, time := uint32(passMemory), uint32(passTime)
	if d.opts.QuickPasswords {
		memory, time = quickMemory, 1
	}
	hash := stretch(password, salt, time, memory, passLanes, passHash)
	b64 := base64.RawStdEncoding
	return fmt.Appendf(nil, "$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, memory, time, passLanes,
		b64.EncodeToString(salt), b64.EncodeToString(hash)), nil
}

func stretch(password string, salt []byte, time, memory uint32, lanes uint8, size int) []byte {
	hashing <- struct{}{}
	defer func() { <-hashing }()
	return argon2.IDKey([]byte(password), salt, time, memory, lanes, uint32(size))
}

// isPassword reports whether the password is the one that was kept. Whatever
// cannot be read is no match; it takes as long as one that can.
func isPassword(kept []byte, password string) bool {
	var version, memory, time uint32
	var lanes uint8
	parts := strings.Split(string(kept), "$")
	if len(password) > mostPassword {
		password = ""
	}
	if len(parts) != 6 || parts[1] != "argon2id" {
		stretch(password, make([]byte, passSalt), passTime, passMemory, passLanes, passHash)
		return false
	}
	_, err := fmt.Sscanf(parts[2]+" "+parts[3], "v=%d m=%d,t=%d,p=%d", &version, &memory, &time, &lanes)
	salt, errSalt := base64.RawStdEncoding.DecodeString(parts[4])
	want, errHash := base64.RawStdEncoding.DecodeString(parts[5])
	tooMuch := memory > 4*passMemory || time > 4*passTime || time == 0 || lanes == 0
	if err != nil || errSalt != nil || errHash != nil || version != argon2.Version || tooMuch || len(want) < 16 {
		return false
	}
	return subtle.ConstantTimeCompare(stretch(password, salt, time, memory, lanes, len(want)), want) == 1
}
