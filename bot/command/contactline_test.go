package command

import (
	"bytes"
	"strings"
	"testing"
)

func TestReadContact(t *testing.T) {
	for line, want := range map[string]ContactLine{
		"": {Act: ContactList}, "  ": {Act: ContactList},
		"mail mo@example.org Mo":           {Act: ContactMail, Address: "mo@example.org", Name: "Mo"},
		"mail Mo Rae <Mo.R+x@Example.ORG>": {Act: ContactMail, Address: "mo.r+x@example.org", Name: "Mo Rae"},
		"E-Mail mailto:mo@example.org  Mo": {Act: ContactMail, Address: "mo@example.org", Name: "Mo"},
		"code acde-fhjk":                   {Act: ContactCode, Code: "ACDEFHJK"},
		"code ACDE FHJK":                   {Act: ContactCode, Code: "ACDEFHJK"},
		"first Mo":                         {Act: ContactFirst, Name: "Mo"},
		"first 2":                          {Act: ContactFirst, Name: "2"},
		"REMOVE Mo Rae":                    {Act: ContactRemove, Name: "Mo Rae"},
	} {
		if got, problem := ReadContact(line); got != want || problem != "" {
			t.Errorf("ReadContact(%q) = %+v, %q, want %+v", line, got, problem, want)
		}
	}
	for line, want := range map[string]string{
		"mo": "word", "mail": "address", "mail Mo": "address", "mail mo@example.org": "name", "mail mo@localhost Mo": "address", "first": "name", "remove": "name", "code": "word",
		"mail mo@example.org\x00 Mo": "address", "mo@example.org Mo": "word",
	} {
		if got, problem := ReadContact(line); problem != want {
			t.Errorf("ReadContact(%q) = %+v, %q, want the problem %q", line, got, problem, want)
		}
	}
}

func TestAddress(t *testing.T) {
	for _, a := range []string{"mo@example.org", "m@e.co", "mo.rae+fish@sub.example.co.uk", "mo@xn--bcher-kva.example", "o'x@example.org"} {
		if !Address(a) {
			t.Errorf("Address(%q) = false", a)
		}
	}
	for _, a := range []string{
		"", "mo", "@example.org", "mo@", "mo@example", "mo@@example.org", "mo@example..org", ".mo@example.org", "mo.@example.org", "m o@example.org", "mo@-example.org", "mo@example.org.",
		"mo@127.0.0.1", "mo@[127.0.0.1]", `"mo"@example.org`, "mö@example.org", "mo@exämple.org", "mo@example.org\r\nRCPT TO:<eve@example.com>", "mo@example.org,eve@example.com",
		strings.Repeat("m", 65) + "@example.org", "mo@" + strings.Repeat("e", 64) + ".org", "mo@" + strings.Repeat("example.", 40) + "org", "mo@example.org>", "<mo@example.org",
	} {
		if Address(a) {
			t.Errorf("Address(%q) = true", a)
		}
	}
}

func TestCode(t *testing.T) {
	seen := map[string]bool{}
	for i := range 256 {
		c := Code(bytes.Repeat([]byte{byte(i)}, 32))
		if len(c) != CodeLength || strings.Trim(c, CodeLetters) != "" || CleanCode(strings.ToLower(c[:4]+" - "+c[4:])) != c {
			t.Errorf("Code() = %q", c)
		}
		seen[c] = true
	}
	if len(seen) != len(CodeLetters) {
		t.Errorf("%d letters are used, want all %d", len(seen), len(CodeLetters))
	}
	for _, pair := range []string{"0O", "1IL", "2Z", "5S", "8B", "UV", "CG"} {
		both := 0
		for _, r := range pair {
			if strings.ContainsRune(CodeLetters, r) {
				both++
			}
		}
		if both > 1 {
			t.Errorf("codes use more than one of %q", pair)
		}
	}
}
