package command

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// written is a recipe as one line: what a reader must have understood.
func (l BerleyLine) written() string {
	var out []string
	for _, p := range l.Parts {
		out = append(out, fmt.Sprintf("%s%s %s", strings.TrimSuffix(fmt.Sprintf("%.1f", p.Amount), ".0"), strings.TrimSuffix(" "+string(p.Unit), " "), p.Name))
	}
	return fmt.Sprintf("%s | %d x %v", strings.Join(out, ", "), l.Anglers, l.Over)
}

func TestBerleyRecipes(t *testing.T) {
	for line, want := range map[string]string{
		BerleyExample: "4000 g soaked bread, 1000 g bran, 500 g pilchard | 2 x 4h0m0s",
		"4kg soaked bread; 1 kilo of bran + 500g pilchard, 2 anglers, 4 h":                   "4000 g soaked bread, 1000 g bran, 500 g pilchard | 2 x 4h0m0s",
		"for 3 people 3 hours: 2 loaves stale bread\n1,5 kg bran\n300 ml sardine oil":        "2 piece loaves stale bread, 1500 g bran, 300 ml sardine oil | 3 x 3h0m0s",
		"8 lb bread and 1 lb 8 oz mussels for two anglers for 90 min":                        "3628.7 g bread, 680.4 g mussels | 2 x 1h30m0s",
		"8 lb bread and 12 oz mussels for two anglers for 90 min":                            "3628.7 g bread, 340.2 g mussels | 2 x 1h30m0s",
		"2 x 500 g blocks pilchard, sand, for 4 rods over 5 hours":                           "1000 g blocks pilchard, 0 sand | 4 x 5h0m0s",
		"1½ kg bread, ½ kilo fish heads and frames per angler per hour":                      "1500 g bread, 500 g fish heads and frames | 1 x 1h0m0s",
		"1 1/2 kg bread, 1/4 kg bran for 4 hours and 2 anglers":                              "1500 g bread, 250 g bran | 2 x 4h0m0s",
		"half a kilo of bread and a loaf for one angler an hour":                             "500 g bread, 1 piece loaf | 1 x 1h0m0s",
		"a kilo and a half of bread for 3 of us 2h30":                                        "1500 g bread | 3 x 2h30m0s",
		"4 kg bread 1 kg bran for 2 anglers 4 hours":                                         "4000 g bread, 1000 g bran | 2 x 4h0m0s",
		"500 g pilchard for bait for 2 mates 4h":                                             "500 g pilchard for bait | 2 x 4h0m0s",
		"4 kg de pan remojado, 1 kg de salvado y 500 g de sardina para 2 pescadores 4 horas": "4000 g pan remojado, 1000 g salvado, 500 g sardina | 2 x 4h0m0s",
		"un kilo y medio de pan y medio kilo de arena para dos personas y una hora y media":  "1500 g pan, 500 g arena | 2 x 1h30m0s",
		"2,5 kg pan, 3 sardinas por persona por hora":                                        "2500 g pan, 3 piece sardinas | 1 x 1h0m0s",
		"2 l sea water, 250ml oil, bread 0 for 1 angler 1 hour":                              "",
		"10 KG. Bread for 20 anglers 14 hours":                                               "10000 g Bread | 20 x 14h0m0s",
		"4 kg bread,, 1 kg bran, for 2 anglers, 4 hours.":                                    "",
		"4 kg bread,, 1 kg bran, for 2 anglers, 4 hours":                                     "4000 g bread, 1000 g bran | 2 x 4h0m0s",
		"some bran, 1 kg bread for 2 anglers 2 hours":                                        "0 bran, 1000 g bread | 2 x 2h0m0s",
		"2 anglers 4 hours, 4 kg bread":                                                      "4000 g bread | 2 x 4h0m0s",
		"4 kg bread for 2 anglers 4 hours for 3 anglers":                                     "",
		"3 anglers' bread 4 kg for 3 anglers 4 hours":                                        "",
		"4 kg bread":                                          "",
		"4 kg bread for 2 anglers":                            "",
		"4 kg bread for 4 hours":                              "",
		"bread for 2 anglers 4 hours":                         "",
		"for 2 anglers 4 hours":                               "",
		"":                                                    "",
		"0 kg bread for 2 anglers 4 hours":                    "",
		"-4 kg bread for 2 anglers 4 hours":                   "",
		"4-5 kg bread for 2 anglers 4 hours":                  "",
		"2,500 g bread for 2 anglers 4 hours":                 "",
		"1.2.3 kg bread for 2 anglers 4 hours":                "",
		"400 kg bread for 2 anglers 4 hours":                  "",
		"4 kg for 2 anglers 4 hours":                          "",
		"4 kg bread for 21 anglers 4 hours":                   "",
		"4 kg bread for 0 anglers 4 hours":                    "",
		"4 kg bread for 2 anglers 15 hours":                   "",
		"4 kg bread for 2 anglers 10 min":                     "",
		"4 kg bread 7 for 2 anglers 4 hours":                  "",
		"4 kg 🎣 for 2 anglers 4 hours":                        "",
		"٤ kg bread for 2 anglers 4 hours":                    "",
		strings.Repeat("1 kg a, ", 13) + "2 rods 1 h":         "",
		"1 kg " + strings.Repeat("x", 41) + " for 2 rods 1 h": "",
		strings.Repeat("x", MaxLine+1):                        "",
	} {
		got, err := Berley(line)
		if want == "" {
			var un *Unread
			if !errors.As(err, &un) || un.Why == "" {
				t.Errorf("Berley(%q) = %s, %v, want it refused", line, got.written(), err)
			}
			if len(got.Parts) > 0 {
				t.Errorf("Berley(%q): refused, and yet %s", line, got.written())
			}
			continue
		}
		if err != nil || got.written() != want {
			t.Errorf("Berley(%q)\n got %s, %v\nwant %s", line, got.written(), err, want)
		}
	}
}

// The pound, international: 0.45359237 kg exactly (NIST Special Publication 811, appendix B).
func TestBerleyPounds(t *testing.T) {
	l, err := Berley("1 lb bread, 16 oz bran for 1 angler 1 hour")
	if err != nil || math.Abs(l.Parts[0].Amount-453.59237) > 1e-9 || math.Abs(l.Parts[1].Amount-453.59237) > 1e-9 {
		t.Errorf("read %+v, %v", l, err)
	}
}

// Whatever is read is within bounds, and reads the same written out in full.
func FuzzBerley(f *testing.F) {
	for _, s := range []string{BerleyExample, "for 3 people 3 hours: 2 loaves\n1,5 kg bran", "un kilo y medio de pan y medio kilo de arena para dos personas una hora", "½ kg a per angler per hour", "2 x 500 g b, c for 1 rod 1h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		l, err := Berley(line)
		if err != nil {
			return
		}
		if l.Anglers < 1 || l.Anglers > MaxBerleyAnglers || l.Over < MinBerleyOver || l.Over > MaxSpan || len(l.Parts) == 0 || len(l.Parts) > MostBerleyParts {
			t.Fatalf("Berley(%q) = %s", line, l.written())
		}
		for _, p := range l.Parts {
			if p.Name == "" || p.Amount < 0 || p.Amount > mostBerleyGrams || math.IsNaN(p.Amount) || (p.Amount == 0) != (p.Unit == "") {
				t.Errorf("Berley(%q): part %+v", line, p)
			}
		}
		if l.Over%time.Minute != 0 {
			t.Errorf("Berley(%q): for %v", line, l.Over)
		}
	})
}
