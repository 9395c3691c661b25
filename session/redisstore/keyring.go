package redisstore

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
)

// A Sealer closes bodies before they go to Redis and opens them when they come back. The place says
// where a body belongs; what was sealed for one place must not open in another.
type Sealer interface {
	Seal(place string, plain []byte) []byte
	Open(place string, sealed []byte) ([]byte, error)
}

// ErrBroken means that sealed bytes do not open although the key is there: they were changed, cut,
// or sealed for another place.
var ErrBroken = errors.New("sealed body is damaged or was moved")

// UnknownKeyError names the key that a body was sealed with and that the key ring does not hold.
type UnknownKeyError struct {
	ID string // eight hex digits
}

func (e *UnknownKeyError) Error() string {
	return fmt.Sprintf("sealed with key %s, which is not in the key ring; add it as a further line", e.ID)
}

// A Keyring is the Sealer: AES-256-GCM with a random 96-bit nonce. Its first key seals, all of them
// open, so that a key is changed by putting a new line before the old one, and the old line goes when
// nothing sealed with it is left.
//
// A sealed body is: format (1 byte, 1), key id (4), nonce (12), ciphertext, tag (16). Format, key id
// and place are authenticated. With random nonces one key is good for 2^32 bodies (NIST SP 800-38D,
// 8.3): thirteen years at ten a second.
type Keyring struct {
	keys []ringKey
}

type ringKey struct {
	id   [4]byte
	aead cipher.AEAD
}

const (
	sealFormat = 1
	sealHeader = 1 + 4
	keyLength  = 32
)

// NewKey makes a random key, as one line of text for a key ring.
func NewKey() string {
	var key [keyLength]byte
	rand.Read(key[:]) // never fails: the program ends if the system has no randomness
	return base64.StdEncoding.EncodeToString(key[:])
}

// ParseKeyring reads a key ring: one key a line, 32 bytes in base64; the first seals, all open.
// Empty lines and lines that begin with # do not count. Errors name lines and key ids, never keys.
func ParseKeyring(text string) (*Keyring, error) {
	ring := &Keyring{}
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, err := base64.StdEncoding.DecodeString(line)
		if err != nil {
			return nil, fmt.Errorf("key ring line %d: not base64", n)
		}
		if len(key) != keyLength {
			return nil, fmt.Errorf("key ring line %d: a key of %d bytes (must be %d)", n, len(key), keyLength)
		}
		k, err := newRingKey(key)
		if err != nil {
			return nil, fmt.Errorf("key ring line %d: %w", n, err)
		}
		if _, there := ring.find(k.id); there {
			return nil, fmt.Errorf("key ring line %d: key %s is there twice", n, hex.EncodeToString(k.id[:]))
		}
		ring.keys = append(ring.keys, k)
	}
	if len(ring.keys) == 0 {
		return nil, errors.New("key ring: no key in it")
	}
	return ring, nil
}

func newRingKey(key []byte) (ringKey, error) {
	block, err := aes.NewCipher(key)
	if err != nil {
		return ringKey{}, err
	}
	aead, err := cipher.NewGCMWithRandomNonce(block)
	if err != nil {
		return ringKey{}, err
	}
	k := ringKey{aead: aead}
	sum := sha256.Sum256(key)
	copy(k.id[:], sum[:])
	return k, nil
}

func (r *Keyring) find(id [4]byte) (ringKey, bool) {
	for _, k := range r.keys {
		if k.id == id {
			return k, true
		}
	}
	return ringKey{}, false
}

// IDs are the ids of the keys, the one that seals first. An id gives nothing of its key away.
func (r *Keyring) IDs() []string {
	ids := make([]string, len(r.keys))
	for i, k := range r.keys {
		ids[i] = hex.EncodeToString(k.id[:])
	}
	return ids
}

// keyOf is the id of the key that a body says it was sealed with, "" when it is no sealed body.
func keyOf(sealed string) string {
	if len(sealed) < sealHeader || sealed[0] != sealFormat {
		return ""
	}
	return hex.EncodeToString([]byte(sealed[1:sealHeader]))
}

// String names the key ids, so that a key ring that reaches a log shows nothing else.
func (r *Keyring) String() string { return "key ring " + strings.Join(r.IDs(), " ") }

// GoString is String, for %#v.
func (r *Keyring) GoString() string { return r.String() }

// Seal closes a body for a place with the first key.
func (r *Keyring) Seal(place string, plain []byte) []byte {
	k := r.keys[0]
	sealed := make([]byte, sealHeader, sealHeader+len(plain)+k.aead.Overhead())
	sealed[0] = sealFormat
	copy(sealed[1:], k.id[:])
	return k.aead.Seal(sealed, nil, plain, authenticated(sealed[:sealHeader], place))
}

// Open gives back what was sealed for the place: *UnknownKeyError or ErrBroken when it cannot.
// The body is never nil without an error.
func (r *Keyring) Open(place string, sealed []byte) ([]byte, error) {
	if len(sealed) < sealHeader {
		return nil, fmt.Errorf("%w: %d bytes", ErrBroken, len(sealed))
	}
	if sealed[0] != sealFormat {
		return nil, fmt.Errorf("%w: format %d (this program knows %d)", ErrBroken, sealed[0], sealFormat)
	}
	id := [4]byte(sealed[1:sealHeader])
	k, ok := r.find(id)
	if !ok {
		return nil, &UnknownKeyError{ID: hex.EncodeToString(id[:])}
	}
	plain, err := k.aead.Open([]byte{}, nil, sealed[sealHeader:], authenticated(sealed[:sealHeader], place))
	if err != nil {
		return nil, ErrBroken // the cause says no more than this does
	}
	return plain, nil
}

func authenticated(header []byte, place string) []byte {
	return append(header[:len(header):len(header)], place...)
}
