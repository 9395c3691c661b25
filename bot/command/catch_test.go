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
		Near:   func(name string) ([]names.Species, bool) { return names.Near(name, area) },
		Person: func(name string) bool { return name == "Chidi" || name == "Ana" },
	}
}

func showCatch(c CatchLine) string {
	var b strings.Builder
	if c.Delete {
		b.WriteString("take back")
	}
	if c.Fix != nil {
		fmt.Fprintf(&b, "fix(%g was %g) ", c.Fix.Bare, c.Fix.Was)
	}
	if c.Blank {
		b.WriteString("blank ")
	}
	for _, e := range c.Entries {
		if e.Who != "" {
			b.WriteString(e.Who + ": ")
		}
		if e.Me {
			b.WriteString("me: ")
		}
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
		if e.Largest {
			b.WriteString(" largest")
		}
		if e.Kept != nil {
			fmt.Fprintf(&b, " k%d", *e.Kept)
		}
		if e.Released != nil {
			fmt.Fprintf(&b, " r%d", *e.Released)
		}
		if e.Note != "" {
			b.WriteString(" (" + e.Note + ")")
		}
		b.WriteString("; ")
	}
	if c.Lost {
		fmt.Fprintf(&b, "lost %d; ", c.LostN)
	}
	if c.Effort != (Effort{}) {
		fmt.Fprintf(&b, "%d rods %g h", c.Effort.Rods, c.Effort.Hours)
	}
	return strings.TrimRight(b.String(), "; ")
}

func TestCatchReads(t *testing.T) {
	for line, want := range map[string]string{
		"2 luderick 31 33 kept 1":                    "2 luderick 310mm 330mm k1 r1",
		"Chidi 2 luderick 31 28 kept 1":              "Chidi: 2 luderick 310mm 280mm k1 r1",
		"@Ana: pig 38":                               "Ana: 1 pig 380mm",
		"45cm tailor released":                       "1 tailor 450mm k0 r1",
		"pig 38":                                     "1 pig 380mm",
		"🎣pig 38":                                    "1 pig 380mm",
		"3 pigs, 34/36/41, kept the lot":             "3 pigs 340mm 360mm 410mm k3 r0",
		"luderick x5 all about 32, let 3 go":         "5 luderick 320mm 320mm 320mm 320mm 320mm est k2 r3",
		"pig 38 let it go":                           "1 pig 380mm k0 r1",
		"3 pigs let them go":                         "3 pigs k0 r3",
		"2 pigs 31 33 put both back":                 "2 pigs 310mm 330mm k0 r2",
		"2 pigs 31 33, 1 kept 1 released":            "2 pigs 310mm 330mm k1 r1",
		"2 pigs 31 33 kept 1 released 1":             "2 pigs 310mm 330mm k1 r1",
		"released a 45cm tailor":                     "1 tailor 450mm k0 r1",
		"kept 2 pigs 31 33":                          "2 pigs 310mm 330mm k2 r0",
		"two pigs":                                   "2 pigs",
		"a dozen pigs all back":                      "12 pigs k0 r12",
		"a snapper":                                  "1 snapper",
		"pig 38 on bread off the point":              "1 pig 380mm (on bread off the point)",
		"pig 38 on bread":                            "1 pig 380mm (on bread)",
		"pig 38 at the Anvil, kept":                  "1 pig 380mm k1 r0 (at the Anvil)",
		"pig 380mm":                                  "1 pig 380mm",
		"pig 15in":                                   "1 pig 381mm",
		"pig 12 1/2 in, kept":                        "1 pig 317.5mm k1 r0",
		"pig 30 kept":                                "1 pig 300mm k1 r0",
		"pig 38ish":                                  "1 pig 380mm est",
		"pig ~38":                                    "1 pig 380mm est",
		"tailor 45 x2 kept both":                     "2 tailor 450mm 450mm k2 r0",
		"3 tailor 1 pig all released":                "3 tailor k0 r3; 1 pig k0 r1",
		"1 tailor 1 pig both kept":                   "1 tailor k1 r0; 1 pig k1 r0",
		"tailor 45 kept, pig 31 released":            "1 tailor 450mm k1 r0; 1 pig 310mm k0 r1",
		"tailor 45 kept, pig 31":                     "1 tailor 450mm k1 r0; 1 pig 310mm",
		"jewie 1.04m 9.2kg kept":                     "1 jewie 1040mm 9200g k1 r0",
		"20 tailor kept all":                         "20 tailor k20 r0",
		"pigs 34, 36 and 41":                         "3 pigs 340mm 360mm 410mm",
		"tailor 2 31 33":                             "2 tailor 310mm 330mm",
		"blanked":                                    "blank",
		"Blanked. 2 rods 4 hrs":                      "blank 2 rods 4 h",
		"0 fish, 3 hrs 1 rod":                        "blank 1 rods 3 h",
		"kept 2 of 5 pigs":                           "5 pigs k2 r3",
		"donut, 3.5h":                                "blank 1 rods 3.5 h",
		"2 tailor 45 46, 2 rods 3 hours":             "2 tailor 450mm 460mm; 2 rods 3 h",
		"black drummer 29cm kept":                    "1 black drummer 290mm k1 r0",
		"BLACK  DRUMMER 29 CM KEPT":                  "1 BLACK  DRUMMER 290mm k1 r0",
		"2 bream both undersize, back":               "2 bream k0 r2",
		"3 pigs biggest 45":                          "3 pigs 450mm largest",
		"3 pigs 34 36":                               "3 pigs 340mm 360mm",
		"pig 40 and 42, lost one at the rocks":       "2 pig 400mm 420mm; lost 1",
		"1 snapper 30.5 kept 1 tarwhine 22 released": "1 snapper 305mm k1 r0; 1 tarwhine 220mm k0 r1",
		"nothing, 3 hours 1 rod":                     "blank 1 rods 3 h",
		"dropped a big one at my feet":               "lost 1",
		"pulled hooks on a kingfish":                 "lost 0",
		"lost 2 pigs":                                "lost 2",
		"kingy 80 busted me off at the ledge":        "lost 0",
		"2x bream 31,33":                             "2 bream 310mm 330mm",
		"bream (31, 33)":                             "2 bream 310mm 330mm",
		"1 bream @ 31cm":                             "1 bream 310mm",
		"bream .5kg":                                 "1 bream 500g",
		"5x pig":                                     "5 pig",
		"2bream 31 33":                               "2 bream 310mm 330mm",
		"pig 31kept":                                 "1 pig 310mm k1 r0",
		"2 bream, 31 kept 28 back":                   "2 bream 310mm 280mm k1 r1",
		"31cm bream kept, 29 let go":                 "2 bream 310mm 290mm k1 r1",
		"snapper 35 & 40, 40 kept":                   "2 snapper 350mm 400mm k1 r1",
		"snapper 35 and 40, kept the 40":             "2 snapper 350mm 400mm k1 r1",
		"5 bream 28-34":                              "5 bream est (28-34)",
		"luderick 5 all 30-35":                       "5 luderick est (30-35)",
		"trevs x6, kept half":                        "6 trevs k3 r3",
		"one rat king 55 back":                       "1 rat king 550mm k0 r1",
		"5 bream kept 2 rest back":                   "5 bream k2 r3",
		"5 bream, kept 2, let the rest go":           "5 bream k2 r3",
		"3 bream no keepers":                         "3 bream k0 r3",
		"4 bream kept 2 biggest":                     "4 bream k2 r2",
		"snapper just under size, back":              "1 snapper k0 r1",
		"snapper 45cm fork length":                   "1 snapper 450mmFL",
		"snapper 45 TL kept":                         "1 snapper 450mmTL k1 r0",
		"pig 40 (guess)":                             "1 pig 400mm est",
		"pig 40 or so":                               "1 pig 400mm est",
		"tailor over 40":                             "1 tailor 400mm est",
		"3 bream 30 each":                            "3 bream 300mm 300mm 300mm",
		"3 bream each 30":                            "3 bream 300mm 300mm 300mm",
		"mulloway about a metre":                     "1 mulloway 1000mm est",
		"2 bream for Chidi":                          "Chidi: 2 bream",
		"Chidi's bream 31":                           "Chidi: 1 bream 310mm",
		"me 3 bream, Chidi 2":                        "me: 3 bream; Chidi: 2 bream",
		"me and Ana 4 luderick each":                 "me: 4 luderick; Ana: 4 luderick",
		"Tarn: 2 bream":                              "Tarn: 2 bream",
		"2 bream for Tarn":                           "Tarn: 2 bream",
		"pig 38 Chidi tailor 41":                     "1 pig 380mm; Chidi: 1 tailor 410mm",
		"snaper 33":                                  "1 snaper 330mm",
		"lud 31":                                     "1 lud 310mm",
		"kingy 80 let go":                            "1 kingy 800mm k0 r1",
		"bream 31 yesterday":                         "1 bream 310mm",
		"kingfish 64 short by 1cm, released":         "1 kingfish 640mm k0 r1", "2 bream, one 31 one 33": "2 bream 310mm 330mm", "bream 31,32,33 and a 40": "4 bream 310mm 320mm 330mm 400mm",
		"kept 2 bream and 3 tailor": "2 bream k2 r0; 3 tailor k3 r0", "4 bream, all between 28 and 32": "4 bream est (between 28 and 32)", "pig 42 (kept), 28 (released)": "2 pig 420mm 280mm k1 r1",
		"1 x 31cm bream": "1 bream 310mm", "we fished 3 hours for nothing": "blank 1 rods 3 h", "Chidi got 3 bream, I got 1": "Chidi: 3 bream; me: 1 bream", "no bream just a rat king 50": "1 rat king 500mm",
		"pig 31 tailor 41": "1 pig 310mm; 1 tailor 410mm", "one bream and a bust off": "1 bream; lost 1", "bream 31 and bust off": "1 bream 310mm; lost 0", "luderick - 3 kept, 2 released": "5 luderick k3 r2",
		"occy and 2 rock crabs for bait":          "1 octopus; 2 rock crab (for bait)",
		"tailor 41 on mackerel, kept":             "1 tailor 410mm k1 r0 (on mackerel)",
		"pig 41.5 @ Kelpie Point 6:40am on bread": "1 pig 415mm (@ Kelpie Point)",
		"two of us 3 hours 4 luderick":            "4 luderick; 2 rods 3 h",
		"3 bream, 90 min":                         "3 bream; 1 rods 1.5 h",
		"undo":                                    "take back",
		"scrap that":                              "take back",
		"scratch my last one please":              "take back",
		"no, 29":                                  "fix(29 was 0) 1  290mm",
		"29 not 31":                               "fix(29 was 31) 1  290mm",
		"no 29 not 31":                            "fix(29 was 31) 1  290mm",
		"make that 2":                             "fix(2 was 0) 2",
		"correction: that bream was 29 not 31":    "fix(0 was 31) 1 bream 290mm",
		"no, released":                            "fix(0 was 0) 0  r-1",
		"that was a tarwhine not a bream":         "fix(0 was 0) 0 tarwhine",
		"no it was 28":                            "fix(28 was 0) 1  280mm",
		"make that kept 2":                        "fix(0 was 0) 0  k2",
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
		"pig": AskCount, "pig released": AskCount, "2 pigs 31 33 35": AskLengths, "3 pigs 34": AskLengths,
		"luderick x5 32": AskLengths, "2 pigs 31 33 kept 3": AskFate, "2 pigs kept 1 released 2": AskFate, "3 pigs kept 1 released 1": AskFate,
		"3 pigs kept both": AskFate, "3 pigs let it go": AskFate, "2 pigs, 1 tailor kept": AskFate, "2 pigs 31 33 kept 1 released": AskFate, "tailor 45 x2 + a pig 31 kept": AskFate,
		"pig kept 31": AskFate, "pig 31 kept released": AskFate, "pig 31 kept 2 tailor": AskFate, "pig tailor 40": AskCount,
		"2 pigs 31 33 tailor": AskTally, "pig 380": AskLength, "31 kept": AskWhatFish, "kept": AskWhatFish, "2": AskWhatFish,
		"2 snapper 1.2kg": AskLengths, "brm 31": AskSpecies, "2 pikey bream": AskSpecies, "undersize reds x7": AskSpecies, "shark 120 released": AskSpecies,
		"Dell pig 38": AskWho, "Dell 2 bream": AskWho, "6 luderick between us": AskWho, "we got 6 luderick": AskWho, "my mate 2 bream": AskWho, "me and Chidi 4 luderick": AskWho, "kept our limit of luderick": AskCount, "heaps of bream": AskCount,
		"choppers everywhere, kept 6 lost count of the rest": AskLetGo, "2 pigs kept 1 lost 1": AskFate, "pig 41 at 6": AskLength, "2-3 bream": AskCount, "bream 28-34": AskTally, "3 fish": AskWhatFish,
		"none legal": AskWhatFish, "no keepers": AskWhatFish, "fish good today heaps of bait": AskWhatFish, "2 bream last night, 2 more this morning": AskCatchTime, "メジナ": AskCount, "pig x": AskCount,
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
		"", "hello", "pig 31.5.2", "unicorn 40", "2 red rock cod", "pig 38 and 2 grondles", "pig 38 grondle 40", "2 bream 31 33 not 35", "pig 38 kept or not", "a bream and a grondle", "caught a mermaid, 170, kept", "pig -31", "pig 900cm", "1000000 luderick", "luderick x900", "pig 38 not kept",
		"pig 38 was 36", "pig 38 or 39", "pig 38?", "pig 38 kept maybe", "pig 38 1.5 rods", "blanked pig 38", "blanked blanked",
		"pig 38 on 2 pilchards", "pig 38 for me not Ana", "the lot", "it", "pig 3 1 4 1 5x", "pig ٣٨",
		"pig 0cm", "0 pigs", "all", "pig x0", "pig x2x3", "x3", "tl", "pig tl", "pig about", "2 rods",
		"pig 38 let 0 go", strings.Repeat("pig 38 ", 200),
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

// Lines as they are written on other coasts and in other languages (general usage, no single source).
func TestCatchElsewhere(t *testing.T) {
	for _, tt := range []struct {
		area, line, want string
		units            Units
	}{
		{"UK-SW", "ballan 4lb 6", "1 ballan 1984g", Metric},
		{"UK-SW", "ballan 4.6lb", "1 ballan 2087g", Metric},
		{"UK-SW", "6 pollack to 4lb, all back", "6 pollack 1814g largest k0 r6", Metric},
		{"UK-SW", "wrasse 3lb 4 & 2lb 8, both back", "2 wrasse 1474g 1134g k0 r2", Metric},
		{"UK-SW", "bass 16½\" kept", "1 bass 419.1mm k1 r0", Metric},
		{"UK-SW", "skunked, 5hrs Skerry Nose", "blank 1 rods 5 h", Metric},
		{"ZA-EC", "leervis 85 tagged released", "1 leervis 850mm k0 r1", Metric},
		{"ZA-EC", "white steenbras 45 FL undersize", "1 white steenbras 450mmFL k0 r1", Metric},
		{"NZ-AKL", "2 kahawai smoked", "2 kahawai", Metric},
		{"NZ-AKL", "kahawai 48 x2 + a snapper 29", "2 kahawai 480mm 480mm; 1 snapper 290mm", Metric},
		{"US-OR", "lingcod 27 1/2 kept, 21 released", "2 lingcod 698.5mm 533.4mm k1 r1", Imperial},
		{"US-NE", "striper 29¼ kept", "1 striper 742.95mm k1 r0", Imperial},
		{"PT-S", "3 sargos 25 27 31 guardei 2", "3 sargos 250mm 270mm 310mm k2 r1", Metric},
		{"PT-S", "grade, 4 horas", "blank 1 rods 4 h", Metric},
		{"PT-S", "perdi um bom robalo", "lost 1", Metric},
		{"PT-S", "robalo 1,8kg", "1 robalo 1800g", Metric},
		{"ES-GA", "lubina de 52 cm, 1,6 kg", "1 lubina 520mm 1600g", Metric},
		{"ES-GA", "dos lubinas 40 y 43 solté una", "2 lubinas 400mm 430mm k1 r1", Metric},
		{"ES-GA", "una lubina 44 me la quedé", "1 lubina 440mm k1 r0", Metric},
		{"ES-GA", "bolo, 2 cañas 3 horas", "blank 2 rods 3 h", Metric},
		{"JP-W", "クロダイ42センチ1枚放流", "1 クロダイ 420mm k0 r1", Metric},
		{"JP-W", "メバル 3匹 全部リリース", "3 メバル k0 r3", Metric},
		{"JP-W", "ボウズ", "blank", Metric},
	} {
		got, err := Catch(tt.line, terms(tt.units, tt.area))
		if err != nil || showCatch(got) != tt.want {
			t.Errorf("Catch(%q) in %s = %s, %v, want %s", tt.line, tt.area, showCatch(got), err, tt.want)
		}
	}
}

// What no such fish can be is refused where the longest and heaviest are known.
func TestCatchKnowsWhatNoFishIs(t *testing.T) {
	g := terms(Metric, "AU-NSW")
	g.Longest = func(names.Species, bool) (float64, bool) { return 80, true }
	g.Heavier = func(_ names.Species, grams float64) bool { return grams > 9000 }
	for _, line := range []string{"bream 150cm", "bream 12kg", "2 bream 31cm 95cm"} {
		if got, err := Catch(line, g); answered(err) != "refuse" {
			t.Errorf("Catch(%q) = %s, %v, want a refusal", line, showCatch(got), err)
		}
	}
	if _, err := Catch("bream 80cm", g); err != nil {
		t.Errorf("Catch(bream 80cm): %v", err)
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
