package telegram_test

import (
	"bufio"
	"bytes"
	"encoding/json"
	"os"
	"reflect"
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/bot/chat"
	"ledgehand/bot/telegram"
)

var (
	us  = telegram.Me{ID: bottest.BotID, Username: bottest.BotUsername, Name: bottest.BotName}
	got = time.Date(2026, 11, 25, 9, 0, 0, 5e8, time.UTC)
)

type updateCase struct {
	Name   string          `json:"name"`
	Update json.RawMessage `json:"update"`
	Want   *chat.Request   `json:"want"`
	Fails  string          `json:"fails"`
}

func updateCases(t testing.TB) []updateCase {
	t.Helper()
	file, err := os.ReadFile("testdata/updates.constructed.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	var out []updateCase
	sc := bufio.NewScanner(bytes.NewReader(file))
	for sc.Scan() {
		var c updateCase
		if err := json.Unmarshal(sc.Bytes(), &c); err != nil {
			t.Fatalf("case %d: %v", len(out)+1, err)
		}
		out = append(out, c)
	}
	if len(out) < 30 {
		t.Fatalf("updates.constructed.jsonl holds %d cases, want all of them", len(out))
	}
	return out
}

func TestDecode(t *testing.T) {
	for _, c := range updateCases(t) {
		t.Run(c.Name, func(t *testing.T) {
			r, err := telegram.Decode(c.Update, got, us)
			if c.Fails != "" {
				if err == nil || !strings.Contains(err.Error(), c.Fails) {
					t.Fatalf("Decode(%s) = %+v, %v, want an error with %q", c.Update, r, err, c.Fails)
				}
				return
			}
			if err != nil || !reflect.DeepEqual(r, *c.Want) {
				t.Fatalf("Decode(%s) =\n%+v, %v, want\n%+v", c.Update, r, err, *c.Want)
			}
			id, place, err := telegram.Peek(c.Update)
			if err != nil || id != r.ID || place != r.Place.ID {
				t.Errorf("Peek(%s) = %q, %d, %v, want %q, %d as Decode says", c.Update, id, place, err, r.ID, r.Place.ID)
			}
		})
	}
}

func TestDecodeErrorHoldsNoPosition(t *testing.T) {
	raw := `{"update_id":1,"message":{"message_id":9,"from":{"id":11},"chat":{"id":11,"type":"private"},"date":1,"text":"off Long Step","location":{"latitude":-133.61234,"longitude":"151.29876"}}}`
	_, err := telegram.Decode([]byte(raw), got, us)
	if err == nil {
		t.Fatalf("Decode(%s) = nil error, want one", raw)
	}
	for _, secret := range []string{"133.6", "151.2", "Long Step"} {
		if strings.Contains(err.Error(), secret) {
			t.Errorf("Decode error = %q, want it without %q", err, secret)
		}
	}
}

func TestCommandsBeforeWeKnowOurName(t *testing.T) {
	raw := `{"update_id":1,"message":{"message_id":9,"from":{"id":11},"chat":{"id":11,"type":"private"},"date":1,"text":"/off@LedgehandTestBot","entities":[{"type":"bot_command","offset":0,"length":21}]}}`
	r, err := telegram.Decode([]byte(raw), got, telegram.Me{})
	if err != nil || r.Kind != chat.KindText || r.Text != "/off" {
		t.Errorf("Decode(%s) = %s %q, %v, want text \"/off\"", raw, r.Kind, r.Text, err)
	}
}

func FuzzDecode(f *testing.F) {
	for _, c := range updateCases(f) {
		f.Add([]byte(c.Update))
	}
	f.Add([]byte(`{"update_id":1,"message":{"chat":{"id":5},"chat":null,"date":99999999999999,"location":{"live_period":9999999999999}}}`))
	f.Add([]byte(`{"update_id":1,"message":{"chat":{"id":5},"text":"/a\ud83d@b","entities":[{"type":"bot_command","offset":0,"length":3}]}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		r, err := telegram.Decode(raw, got, us)
		if err != nil {
			return
		}
		if r.At.After(r.Got) {
			t.Errorf("At %s is after Got %s", r.At, r.Got)
		}
		id, place, err := telegram.Peek(raw)
		if id != r.ID || err == nil && place != r.Place.ID {
			t.Errorf("Peek = %q, %d, %v, Decode says %q, %d", id, place, err, r.ID, r.Place.ID)
		}
		out, err := json.Marshal(r)
		if err != nil {
			t.Fatalf("request cannot be stored: %v", err)
		}
		var back chat.Request
		if err := json.Unmarshal(out, &back); err != nil {
			t.Errorf("request cannot be read back: %v", err)
		}
		switch r.Kind {
		case chat.KindText, chat.KindPlace, chat.KindTap:
			if r.From.ID == 0 && r.Kind == chat.KindTap || r.Place.ID == 0 {
				t.Errorf("%s by %d in %d, want a person and a place", r.Kind, r.From.ID, r.Place.ID)
			}
		case chat.KindMoved:
			if r.MovedTo == 0 || r.Place.ID == 0 {
				t.Errorf("moved from %d to %d", r.Place.ID, r.MovedTo)
			}
		}
	})
}

func BenchmarkDecode(b *testing.B) {
	raw := []byte(updateCases(b)[1].Update)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := telegram.Decode(raw, got, us); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPeek(b *testing.B) {
	raw := []byte(updateCases(b)[1].Update)
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := telegram.Peek(raw); err != nil {
			b.Fatal(err)
		}
	}
}
