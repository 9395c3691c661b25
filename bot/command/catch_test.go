package command

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"ledgehand/session/catch/names"
)

func terms(units Units, area string) Terms {
	return Terms{
		Units:  units,
		Fish:   func(name string) []names.Species { return names.Find(name, area) },
		Person: func(name string) bool { return name == "Chidi" || name == "Ana" },
	}
}

func showCatch(c CatchLine) string {
	var b strings.Builder
	if c.Who != "" {
		b.WriteString(c.Who + ": ")
	}
	if c.Blank {
		b.WriteString("blank ")
	}
	for _, e := range c.Entries {
		fmt.Fprintf(&b, "%d %s", e.Count, e.Named)
		for _, s := range e.Lengths {
			fmt.Fprintf(&b, " %gmm", s.MM())
		}
		for _, w := range e.WeightsG {
			fmt.Fprintf(&b, " %dg", w)
		}
		b.WriteString(e.Measure)
		if e.Estimated {
			b.WriteString(" est")
		}
		if e.Kept != nil {
			fmt.Fprintf(&b, " k%d r%d", *e.Kept, *e.Released)
		}
		if e.Note != "" {
			b.WriteString(" (" + e.Note + ")")
		}
		b.WriteString("; ")
	}
	if c.Effort != (Effort{}) {
		fmt.Fprintf(&b, "%d rods %g h", c.Effort.Rods, c.Effort.Hours)
	}
	return strings.TrimRight(b.String(), "; ")
}

func TestCatchReads(t *testing.T) {
	for line, want := range map[string]string{
		"2 luderick 31 33 kept 1":            "2 luderick 310mm 330mm k1 r1",
		"Chidi 2 luderick 31 28 kept 1":      "Chidi: 2 luderick 310mm 280mm k1 r1",
		"@Ana: pig 38":                       "Ana: 1 pig 380mm",
		"45cm tailor released":               "1 tailor 450mm k0 r1",
		"pig 38":                             "1 pig 380mm",
		"🎣pig 38":                            "refuse",
		"3 pigs, 34/36/41, kept the lot":     "3 pigs 340mm 360mm 410mm k3 r0",
		"luderick x5 all about 32, let 3 go": "5 luderick 320mm 320mm 320mm 320mm 320mm est k2 r3",
		"pig 38 let it go":                   "1 pig 380mm k0 r1",
		"3 pigs let them go":                 "3 pigs k0 r3",
		"2 pigs 31 33 put both back":         "2 pigs 310mm 330mm k0 r2",
		"2 pigs 31 33, 1 kept 1 released":    "2 pigs 310mm 330mm k1 r1",
		"2 pigs 31 33 kept 1 released 1":     "2 pigs 310mm 330mm k1 r1",
		"released a 45cm tailor":             "1 tailor 450mm k0 r1",
		"kept 2 pigs 31 33":                  "2 pigs 310mm 330mm k2 r0",
		"two pigs":                           "2 pigs",
		"a dozen pigs all back":              "12 pigs k0 r12",
		"a snapper":                          "1 snapper",
		"pig 38 on bread off the point":      "1 pig 380mm (on bread off the point)",
		"pig 38 on bread":                    "1 pig 380mm (on bread)",
		"pig 38 at the Anvil, kept":          "1 pig 380mm k1 r0 (at the Anvil)",
		"pig 380mm":                          "1 pig 380mm",
		"pig 15in":                           "1 pig 381mm",
		"pig 12 1/2 in, kept":                "1 pig 317.5mm k1 r0",
		"pig 30 kept":                        "1 pig 300mm k1 r0",
		"pig 38ish":                          "1 pig 380mm est",
		"pig ~38":                            "1 pig 380mm est",
		"tailor 45 x2 kept both":             "2 tailor 450mm 450mm k2 r0",
		"3 tailor 1 pig all released":        "3 tailor k0 r3; 1 pig k0 r1",
		"1 tailor 1 pig both kept":           "1 tailor k1 r0; 1 pig k1 r0",
		"tailor 45 kept, pig 31 released":    "1 tailor 450mm k1 r0; 1 pig 310mm k0 r1",
		"tailor 45 kept, pig 31":             "1 tailor 450mm k1 r0; 1 pig 310mm",
		"jewie 1.04m 9.2kg kept":             "1 jewie 1040mm 9200g k1 r0",
		"20 tailor kept all":                 "20 tailor k20 r0",
		"pigs 34, 36 and 41":                 "3 pigs 340mm 360mm 410mm",
		"tailor 2 31 33":                     "2 tailor 310mm 330mm",
		"blanked":                            "blank",
		"Blanked. 2 rods 4 hrs":              "blank 2 rods 4 h",
		"donut, 3.5h":                        "blank 0 rods 3.5 h",
		"2 tailor 45 46, 2 rods 3 hours":     "2 tailor 450mm 460mm; 2 rods 3 h",
		"black drummer 29cm kept":            "1 black drummer 290mm k1 r0",
		"BLACK  DRUMMER 29 CM KEPT":          "1 BLACK  DRUMMER 290mm k1 r0",
	} {
		got, err := Catch(line, terms(Metric, "AU-NSW"))
		if want == "refuse" && answered(err) == "refuse" {
			continue
		}
		if err != nil || showCatch(got) != want {
			t.Errorf("Catch(%q) = %s, %v, want %s", line, showCatch(got), err, want)
		}
	}
}

func TestCatchDoubts(t *testing.T) {
	for line, want := range map[string]Word{
		"1 drummer 36": AskSpecies, "tailor 30": AskTally, "tailor 10": AskTally, "40 tailor": AskTally, "pigs 38": AskTally,
		"pig": AskCount, "pig released": AskCount, "3 pigs 34 36": AskLengths, "2 pigs 31 33 35": AskLengths, "3 pigs 34": AskLengths,
		"luderick x5 32": AskLengths, "2 pigs 31 33 kept 3": AskFate, "2 pigs kept 1 released 2": AskFate, "3 pigs kept 1 released 1": AskFate,
		"3 pigs kept both": AskFate, "3 pigs let it go": AskFate, "2 pigs, 1 tailor kept": AskFate, "2 pigs 31 33 kept 1 released": AskFate, "tailor 45 x2 + a pig 31 kept": AskFate,
		"pig kept 31": AskFate, "pig 31 kept released": AskFate, "pig 31 kept 2 tailor": AskFate, "pig 31 tailor 40": AskTally, "pig tailor 40": AskCount,
		"2 pigs 31 33 tailor": AskTally, "pig 380": AskLength, "31 kept": AskWhatFish, "kept": AskWhatFish, "2": AskWhatFish,
		"2 snapper 1.2kg": AskLengths,
	} {
		got, err := Catch(line, terms(Metric, "AU-NSW"))
		var d *Doubt
		if !errors.As(err, &d) || d.Question != want {
			t.Errorf("Catch(%q) = %s, %v, want doubt %s", line, showCatch(got), err, want)
		}
	}
	_, err := Catch("1 drummer 36", terms(Metric, "AU-NSW"))
	if d, _ := err.(*Doubt); d == nil || len(d.Species) != 2 {
		t.Errorf("Catch(1 drummer 36) = %v, want both species offered", err)
	}
}

func TestCatchRefuses(t *testing.T) {
	for _, line := range []string{
		"", "hello", "caught a mermaid, 170, kept", "pig -31", "pig 900cm", "1000000 luderick", "luderick x900", "pig 38 not kept", "lost 2 pigs",
		"pig 38 was 36", "pig 38 or 39", "no pigs", "pig 38?", "pig 38 kept maybe", "5x pig", "pig 38 1.5 rods", "blanked pig 38", "blanked blanked",
		"Dell pig 38", "pig 38 Chidi tailor 40", "pig 38 on 2 pilchards", "pig 38 for me not Ana", "the lot", "it", "pig 3 1 4 1 5x", "pig ٣٨",
		"pig 0cm", "0 pigs", "pig 38 -", "all", "pig x", "pig x0", "pig x2x3", "x3", "tl", "pig tl", "pig about", "2 rods", "メジナ",
		"pig 31kept", "pig 38 let 0 go", strings.Repeat("pig 38 ", 200),
	} {
		got, err := Catch(line, terms(Metric, "AU-NSW"))
		if answered(err) != "refuse" {
			t.Errorf("Catch(%.40q) = %s, %v, want a refusal", line, showCatch(got), err)
		}
	}
}

func TestCatchInImperialGroups(t *testing.T) {
	for line, want := range map[string]string{
		"2 lings 24 27 kept both":    "2 lings 609.6mm 685.8mm k2 r0",
		"lingcod 22":                 "1 lingcod 558.8mm",
		"lingcod 56cm":               "1 lingcod 560mm",
		"calico 13 3/4\" tossed":     "1 calico 349.25mm k0 r1",
		"10 blacks":                  "10 blacks",
		"14 blacks":                  "length-or-tally",
		"cabezon 10":                 "length-or-tally",
		"cabezon 5":                  "5 cabezon",
		"greenling 14":               "which-species",
		"2 kelp greenling 14 15 1/2": "2 kelp greenling 355.6mm 393.7mm",
	} {
		got, err := Catch(line, terms(Imperial, "US-OR"))
		var d *Doubt
		if errors.As(err, &d) && string(d.Question) == want {
			continue
		}
		if err != nil || showCatch(got) != want {
			t.Errorf("Catch(%q) = %s, %v, want %s", line, showCatch(got), err, want)
		}
	}
}

func TestCatchWithoutTerms(t *testing.T) {
	if _, err := Catch("2 bream 31 33", Terms{}); answered(err) != "refuse" {
		t.Errorf("Catch with no names = %v, want a refusal", err)
	}
}

func BenchmarkCatch(b *testing.B) {
	g := terms(Metric, "AU-NSW")
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Catch("3 pigs, 34/36/41, kept the lot", g); err != nil {
			b.Fatal(err)
		}
	}
}
