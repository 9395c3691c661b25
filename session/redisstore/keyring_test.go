package redisstore

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"
	"testing"
)

// sampleKey is thirty-two bytes 0, 1, … 31: for tests only.
const sampleKey = "AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8="

func mustRing(tb testing.TB, text string) *Keyring {
	tb.Helper()
	r, err := ParseKeyring(text)
	if err != nil {
		tb.Fatalf("ParseKeyring() = %v, want no error", err)
	}
	return r
}

func TestKeyIDIsTheStartOfTheDigest(t *testing.T) {
	// SHA-256 of the bytes 00 01 … 1f begins 630dcd29 (checked with another program, `sha256sum`).
	if got := mustRing(t, sampleKey).IDs(); len(got) != 1 || got[0] != "630dcd29" {
		t.Errorf("IDs() = %q, want 630dcd29", got)
	}
}

// What an earlier release sealed must open for ever.
func TestOldBodiesOpen(t *testing.T) {
	for _, old := range []struct{ place, sealed, plain string }{
		{"ledgehand:{07}:rec:outing/k3f9", oldRecord, `{"v":1}`},
	} {
		sealed, err := base64.StdEncoding.DecodeString(old.sealed)
		if err != nil {
			t.Fatal(err)
		}
		got, err := mustRing(t, sampleKey).Open(old.place, sealed)
		if err != nil || string(got) != old.plain {
			t.Errorf("Open(%q) = %q, %v, want %q", old.place, got, err, old.plain)
		}
	}
}

// oldRecord was sealed by another implementation (OpenSSL's AES-256-GCM): format 1, key id 630dcd29,
// nonce 00 01 … 0b, the ciphertext and tag with format, id and place as associated data.
const oldRecord = "AWMNzSkAAQIDBAUGBwgJCgs8IKA5/9S/s1YhcWs4j/Edx/ajjlTaXA=="

func TestSealedOpensOnlyInItsPlace(t *testing.T) {
	r := mustRing(t, NewKey())
	plain := []byte("position 51.0")
	sealed := r.Seal("a", plain)
	if got, err := r.Open("a", sealed); err != nil || !bytes.Equal(got, plain) {
		t.Fatalf("Open() = %q, %v, want what was sealed", got, err)
	}
	if bytes.Contains(sealed, plain) {
		t.Error("Seal() left the text readable")
	}
	if bytes.Equal(sealed, r.Seal("a", plain)) {
		t.Error("Seal() twice gave the same bytes: the nonce repeats")
	}
	if _, err := r.Open("b", sealed); !errors.Is(err, ErrBroken) {
		t.Errorf("Open() in another place = %v, want ErrBroken", err)
	}
	if got, err := r.Open("", r.Seal("", nil)); err != nil || got == nil || len(got) != 0 {
		t.Errorf("Open() of nothing = %v, %v, want an empty body that is not nil", got, err)
	}
}

func TestEveryBitOfASealedBodyCounts(t *testing.T) {
	r := mustRing(t, NewKey())
	sealed := r.Seal("a", []byte("x"))
	for bit := range len(sealed) * 8 {
		bad := bytes.Clone(sealed)
		bad[bit/8] ^= 1 << (bit % 8)
		if got, err := r.Open("a", bad); err == nil {
			t.Errorf("Open() with bit %d turned = %q, want an error", bit, got)
		}
	}
	for n := range sealed {
		if _, err := r.Open("a", sealed[:n]); err == nil {
			t.Errorf("Open() of the first %d bytes = no error, want one", n)
		}
	}
}

func TestTheFirstKeySealsAllOpen(t *testing.T) {
	old, fresh := NewKey(), NewKey()
	before := mustRing(t, old)
	both := mustRing(t, "# new since March\n"+fresh+"\n\n  "+old+"\r\n")
	after := mustRing(t, fresh)
	if got, err := both.Open("p", before.Seal("p", []byte("x"))); err != nil || string(got) != "x" {
		t.Errorf("Open() with the second key = %q, %v, want x", got, err)
	}
	if got, err := after.Open("p", both.Seal("p", []byte("x"))); err != nil || string(got) != "x" {
		t.Errorf("Open() of what both sealed = %q, %v: the first key did not seal", got, err)
	}
	_, err := after.Open("p", before.Seal("p", []byte("x")))
	var unknown *UnknownKeyError
	if !errors.As(err, &unknown) || unknown.ID != before.IDs()[0] || !strings.Contains(err.Error(), unknown.ID) {
		t.Errorf("Open() of what an unknown key sealed = %v, want an error that names %s", err, before.IDs()[0])
	}
}

func TestBadKeyRingsAreRefusedWithoutShowingKeys(t *testing.T) {
	key := NewKey()
	short := base64.StdEncoding.EncodeToString(make([]byte, 31))
	for name, text := range map[string]string{
		"empty": "", "comments only": "# none\n\n", "not base64": key + "\n" + strings.Repeat("!", 44),
		"short": short, "long": base64.StdEncoding.EncodeToString(make([]byte, 33)), "twice": key + "\n" + key, "hex": hex.EncodeToString(make([]byte, 32)),
	} {
		_, err := ParseKeyring(text)
		if err == nil {
			t.Errorf("ParseKeyring(%s) = no error, want one", name)
		} else if strings.Contains(err.Error(), key) || strings.Contains(err.Error(), short) {
			t.Errorf("ParseKeyring(%s) = %v: it shows a key", name, err)
		}
	}
}

func TestAPrintedKeyRingShowsNoKey(t *testing.T) {
	r := mustRing(t, sampleKey)
	for _, format := range []string{"%v", "%+v", "%#v", "%s"} {
		if got := fmt.Sprintf(format, r); got != "key ring 630dcd29" {
			t.Errorf("Sprintf(%q) = %q, want the id only", format, got)
		}
	}
}

func FuzzOpenNeverPanics(f *testing.F) {
	r := mustRing(f, sampleKey)
	f.Add("a", r.Seal("a", []byte("x")))
	f.Add("", []byte{})
	f.Add("a", []byte{1, 0x63, 0x0d, 0xcd, 0x29})
	f.Fuzz(func(t *testing.T, place string, sealed []byte) {
		plain, err := r.Open(place, sealed)
		if err != nil && plain != nil {
			t.Errorf("Open() = %q with an error", plain)
		}
		if err == nil && len(sealed) != len(plain)+sealHeader+12+16 {
			t.Errorf("Open() of %d bytes = %d bytes", len(sealed), len(plain))
		}
	})
}

func FuzzParseKeyring(f *testing.F) {
	f.Add(sampleKey)
	f.Add("# x\n" + sampleKey + "\r\n" + sampleKey)
	f.Fuzz(func(t *testing.T, text string) {
		r, err := ParseKeyring(text)
		if err != nil {
			return
		}
		if got, err := r.Open("p", r.Seal("p", []byte("x"))); err != nil || string(got) != "x" {
			t.Errorf("Open(Seal(x)) = %q, %v, want x", got, err)
		}
	})
}
