package command

import (
	"fmt"
	"testing"
)

func TestQuietHours(t *testing.T) {
	for _, c := range []struct {
		in       string
		from, to int
		ok       bool
	}{
		{"22-7", 22 * 60, 7 * 60, true}, {"10pm to 6:30am", 22 * 60, 390, true}, {"22:00–07:00", 1320, 420, true}, {"12am-12pm", 0, 720, true}, {"24-6", 0, 360, true},
		{"21.30 a 6", 1290, 360, true}, {"22h-7h", 1320, 420, true}, {"10 p.m. - 6 a.m.", 1320, 360, true},
		{"22", 0, 0, false}, {"7-7", 0, 0, false}, {"25-7", 0, 0, false}, {"22-7pm", 0, 0, false}, {"22:60-7", 0, 0, false}, {"22:5-7", 0, 0, false}, {"13pm-1am", 0, 0, false},
		{"-", 0, 0, false}, {"", 0, 0, false}, {"ten-six", 0, 0, false}, {"24:30-6", 0, 0, false}, {"22-7-9", 0, 0, false}, {"٢٢-7", 0, 0, false},
	} {
		from, to, ok := QuietHours(c.in)
		if ok != c.ok || ok && (from != c.from || to != c.to) {
			t.Errorf("QuietHours(%q) = %d, %d, %v, want %d, %d, %v", c.in, from, to, ok, c.from, c.to, c.ok)
		}
	}
	for from := range 1440 {
		to := (from*7 + 11) % 1440
		f, u, ok := QuietHours(fmt.Sprintf("%02d:%02d-%d:%02d", from/60, from%60, to/60, to%60))
		if from != to && (!ok || f != from || u != to) {
			t.Fatalf("%d-%d reads as %d-%d, %v", from, to, f, u, ok)
		}
	}
}

func FuzzQuietHours(f *testing.F) {
	f.Add("22-7")
	f.Add("10pm to 6:30am")
	f.Fuzz(func(t *testing.T, s string) {
		if from, to, ok := QuietHours(s); ok && (from < 0 || from > 1439 || to < 0 || to > 1439 || from == to) {
			t.Fatalf("%q: %d, %d", s, from, to)
		}
	})
}
