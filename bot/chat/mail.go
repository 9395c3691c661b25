package chat

import (
	"crypto/sha256"
	"encoding/binary"
	"strings"
)

// Mail makes a message an e-mail to somebody that no chat service reaches. Text stays as it is; the sender makes plain
// text of it. Buttons, panels and replies mean nothing there.
type Mail struct {
	Address string `json:"address"`
	Name    string `json:"name,omitempty"`   // hostile text, like all names
	Subject string `json:"subject"`          // plain text; the decision
	Thread  string `json:"thread,omitempty"` // mails about the same thing hang together; never shown as it is
	Grave   bool   `json:"grave,omitempty"`  // an alert: marked as important
}

// FirstMailNumber is where the numbers of mail contacts begin. Ids of Telegram have at most 52 significant bits (Bot API, Chat.id and
// User.id), so their absolute value is below it. All numbers of mail contacts are below 2^53, which every float64 still holds exactly.
const FirstMailNumber int64 = 1 << 52

// MailNumber is the id and chat number of whoever reads an address: the same for the same address, case aside, and never that of
// a person or group of a chat service. 51 bits of a sum: two of 10,000 addresses share a number with a chance of 1 in 45 million.
func MailNumber(address string) int64 {
	sum := sha256.Sum256([]byte("ledgehand mail contact\x00" + strings.ToLower(strings.TrimSpace(address))))
	return FirstMailNumber + int64(binary.BigEndian.Uint64(sum[:8])>>13)
}

// IsMailNumber says whether an id or a chat is that of a mail contact.
func IsMailNumber(n int64) bool { return n >= FirstMailNumber }
