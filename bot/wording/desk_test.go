package wording

import (
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"ledgehand/session/outing"
	"ledgehand/session/trip"
	"ledgehand/session/watch"
)

var problems = []error{
	ErrOldPanel, ErrNothingToUndo, ErrTooEarly, outing.ErrClosed, outing.ErrNotMember, outing.ErrNotContact, outing.ErrPast, outing.ErrTooFar, outing.ErrWhy,
	trip.ErrCalledOff, trip.ErrTaken, trip.ErrNotIn, trip.ErrTimes, trip.ErrOver, watch.ErrTooShort, watch.ErrTooLong, watch.ErrEnded, watch.ErrNotYours,
}

func problemSamples(w Words, _ cast) []sample {
	var out []sample
	for _, err := range problems {
		text, _ := w.Problem(fmt.Errorf("a use case: %w", err))
		out = append(out, sample{err.Error(), text})
	}
	return out
}

func TestProblems(t *testing.T) {
	w := words(Metric)
	for _, err := range problems {
		text, ok := w.Problem(err)
		if !ok || text == "" {
			t.Errorf("Problem(%v) = %q, %t, want words", err, text, ok)
		}
		// What a tap answers is cut at 200 characters (Telegram Bot API, answerCallbackQuery.text).
		if n := units16(text); n > 200 {
			t.Errorf("Problem(%v) has %d characters, want up to 200", err, n)
		}
	}
	if text, ok := w.Problem(errors.New("disk full")); ok {
		t.Errorf("Problem(disk full) = %q, want none: people can do nothing about it", text)
	}
}

// deskSamples are the texts the desk takes straight from the catalogue, each with every value it has.
func deskSamples(w Words, c cast) []sample {
	var out []sample
	for _, id := range ids() {
		kv := []any{}
		for _, p := range placeholders(id) {
			switch p {
			case "n", "i", "min", "left", "rate", "waves", "kept", "gone", "watches", "bag", "over", "period":
				kv = append(kv, p, 2)
			case "ledge", "name":
				kv = append(kv, p, c.anvil)
			default:
				kv = append(kv, p, c.ana)
			}
		}
		out = append(out, sample{id, w.T(id, kv...)})
	}
	return out
}

func helpSamples(w Words, _ cast) []sample {
	l := []string{w.T("help_head")}
	for _, cmd := range commands() {
		l = append(l, w.T("help_line", "cmd", cmd, "says", HTML(w.T("cmd_"+cmd))))
	}
	return []sample{
		{"all of it", strings.Join(append(l, w.T("help_foot")), "\n")},
		{"one command", w.T("help_one", "cmd", "out", "says", HTML(w.T("cmd_out")))},
	}
}

var quoted = regexp.MustCompile(`"([a-z]+)"`)

// commands are those the desk lists, read from its source: this package must not know it.
func commands() []string {
	src, err := os.ReadFile("../text.go")
	if err != nil {
		panic(err)
	}
	_, after, _ := strings.Cut(string(src), "var Commands = []string{")
	list, _, _ := strings.Cut(after, "}")
	var out []string
	for _, m := range quoted.FindAllStringSubmatch(list, -1) {
		out = append(out, m[1])
	}
	return out
}
