package bot

import (
	"testing"

	"ledgehand/bot/chat"
)

// Only what a file is fetched for waits in the slow lane: an off is one whatever hangs on it (I7).
func TestAFileHoldsUpNoCheckIn(t *testing.T) {
	for text, want := range map[string]bool{"": true, "/rules": true, "/ledge import": true, "/off": false, "off": false, "/fellin": false, "/out Anvil back 5pm": false, "/catch 2 bream": false} {
		if got := (&Desk{}).Slow(chat.Request{Kind: chat.KindText, Text: text, File: &chat.File{ID: "f"}}); got != want {
			t.Errorf("a file with %q is slow: %v, want %v", text, got, want)
		}
	}
}
