package mailtest

import (
	"encoding/base64"
	"io"
	"mime/quotedprintable"
	"net/mail"
	"strings"
)

// body is the text of a mail with one part, decoded, its lines ended by \n.
func body(m *mail.Message) string {
	r := m.Body
	switch strings.ToLower(m.Header.Get("Content-Transfer-Encoding")) {
	case "quoted-printable":
		r = quotedprintable.NewReader(r)
	case "base64":
		r = base64.NewDecoder(base64.StdEncoding, r)
	}
	b, err := io.ReadAll(r)
	if err != nil {
		return "cannot be read: " + err.Error()
	}
	return strings.ReplaceAll(string(b), "\r\n", "\n")
}
