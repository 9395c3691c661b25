package command

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

func TestPosition(t *testing.T) {
	anvil := measure.Position{Lat: 38.9142, Lon: -123.7275}
	for in, want := range map[string]measure.Position{
		"38.9142 -123.7275": anvil, "38.9142, -123.7275": anvil, "38.9142,-123.7275": anvil, "38.9142N 123.7275W": anvil,
		"N38.9142 W123.7275": anvil, "38.9142 N 123.7275 W": anvil, "38.9142° N, 123.7275° W": anvil, "123.7275 W 38.9142 N": anvil,
		"38.9142 north 123.7275 west": anvil, "38.9142 −123.7275": anvil,
		"-33.8910 151.2830": {Lat: -33.891, Lon: 151.283}, "33.891S 151.283E": {Lat: -33.891, Lon: 151.283},
		// Degrees and minutes of the same place as the design's example, and with seconds.
		"38°54.85' N 123°43.65' W":         {Lat: 38 + 54.85/60, Lon: -(123 + 43.65/60)},
		"N 38° 54.85′, W 123° 43.65′":      {Lat: 38 + 54.85/60, Lon: -(123 + 43.65/60)},
		`38°54'51" N 123°43'39" W`:         {Lat: 38 + 54.0/60 + 51.0/3600, Lon: -(123 + 43.0/60 + 39.0/3600)},
		"38 deg 54.85' N 123 deg 43.65' W": {Lat: 38 + 54.85/60, Lon: -(123 + 43.65/60)},
	} {
		got, err := Position(in)
		if err != nil || math.Abs(got.Lat-want.Lat) > 1e-9 || math.Abs(got.Lon-want.Lon) > 1e-9 {
			t.Errorf("Position(%q) = %v, %v, want %v", in, got, err, want)
		}
	}
	for in, why := range map[string]Word{
		"": WhyEmpty, "38.9142": WhyNumber, "38.91 -123.72": WhyCoarse, "38 -123": WhyCoarse, "98.9142 -123.7275": WhyRange,
		"38.9142 -183.7275": WhyRange, "38.9142 N -123.7275": WhyClash, "38.9142 N 123.7275 N": WhyClash, "-38.9142 S 123.7275 E": WhyClash,
		"38°64.85' N 123°43.65' W": WhyRange, "38°54' N 123°43' W": WhyCoarse, "38.9142 -123.7275 12": WhyToken, "here": WhyNumber,
		"38,9142 -123,7275": WhyCoarse, "N-38.9142 W123.7275": WhyClash, "38.9142 - 123.7275": WhyToken, "1234567.1234 2.1234": WhyNumber,
	} {
		got, err := Position(in)
		var u *Unread
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("Position(%q) = %v, %v, want Unread %s", in, got, err, why)
		} else if strings.ContainsAny(u.Said, "0123456789") {
			t.Errorf("Position(%q) fails with %q, which gives digits of a position away", in, u.Said)
		}
	}
}

func to[T any](v T) *T { return &v }

func TestLedgeCard(t *testing.T) {
	full := LedgeFields{
		Name: "Anvil", At: &measure.Position{Lat: 38.9142, Lon: -123.7275}, Lip: to(measure.Metres(4.2)), Faces: to(measure.From(280)),
		Open: &Sector{From: 200, To: 340}, Foot: to(measure.Metres(6)), Slope: to(0.0), Gate: to(measure.Metres(1.4)),
		Signal: to(SignalNo), Number: to("911"), Walk: to(25 * time.Minute),
	}
	for in, want := range map[string]LedgeFields{
		LedgeExample: full,
		"Anvil walkout 25 min number 911 signal none gate 1.4m slope wall foot 6 m open 200 to 340 faces 280° lip 4.2 m at 38.9142N 123.7275W": full,
		"Long Step":                    {Name: "Long Step"},
		"Ledge 2":                      {Name: "Ledge 2"},
		`"Low Foot" foot 3`:            {Name: "Low Foot", Foot: to(measure.Metres(3))},
		"“The Gate” gate -0.2":         {Name: "The Gate", Gate: to(measure.Metres(-0.2))},
		"Чёрный камень lip 14 ft":      {Name: "Чёрный камень", Lip: to(measure.Metres(14 * 0.3048))},
		"Anvil lip: 14ft":              {Name: "Anvil", Lip: to(measure.Metres(14 * 0.3048))},
		"Anvil faces WSW open SW-NNW":  {Name: "Anvil", Faces: to(measure.From(247.5)), Open: &Sector{From: 225, To: 337.5}},
		"Anvil faces north west":       {Name: "Anvil", Faces: to(measure.From(315))},
		"Anvil faces west":             {Name: "Anvil", Faces: to(measure.From(270))},
		"Anvil open 300–20":            {Name: "Anvil", Open: &Sector{From: 300, To: 20}},
		"Anvil slope 1:2":              {Name: "Anvil", Slope: to(2.0)},
		"Anvil slope 90°":              {Name: "Anvil", Slope: to(0.0)},
		"Anvil number +00 555 0142":    {Name: "Anvil", Number: to("+00 555 0142")},
		"Anvil station 9415020":        {Name: "Anvil", Station: to("9415020")},
		"North Wall people 3":          {Name: "North Wall", People: to(3)},
		"North Wall walkout 1h":        {Name: "North Wall", Walk: to(time.Hour)},
		"Anvil timezone Europe/Lisbon": {Name: "Anvil", Zone: to("Europe/Lisbon")},
		"Anvil lip 14 ft above navd88 gate 1 MSL foot 6 below LAT": {
			Name: "Anvil", Lip: to(measure.Metres(14 * 0.3048)), Gate: to(measure.Metres(1)), Foot: to(measure.Metres(6)),
			LipDatum: "NAVD88", GateDatum: "MSL", FootDatum: "LAT",
		},
		"Anvil signal Weak":                       {Name: "Anvil", Signal: to(SignalWeak)},
		"Anvil at 38°54.85' N 123°43.65' W lip 4": {Name: "Anvil", Lip: to(measure.Metres(4)), At: &measure.Position{Lat: 38 + 54.85/60, Lon: -(123 + 43.65/60)}},
	} {
		got, err := LedgeCard(in)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("LedgeCard(%q) = %+v, %v, want %+v", in, got, err, want)
		}
	}
	if got, err := LedgeCard("Anvil slope 45 degrees"); err != nil || math.Abs(*got.Slope-1) > 1e-12 {
		t.Errorf("LedgeCard(slope 45 degrees) = %v, %v, want cot 1", got, err)
	}
	for in, want := range map[string]Unread{
		"":                          {Why: WhyMissing, Said: "name"},
		"at 38.9142 -123.7275":      {Why: WhyMissing, Said: "name"},
		"Anvil lip":                 {Why: WhyMissing, Said: "lip"},
		"Anvil lip 4 lip 5":         {Why: WhyTwice, Said: "lip"},
		"Anvil lip 4 height 5":      {Why: WhyKeyword, Said: "height"},
		"Anvil lipp 4.2":            {Why: WhyKeyword, Said: "Anvil"},
		"Anvil lipp 4.2 foot 6":     {Why: WhyKeyword, Said: "Anvil"},
		"Anvil height 4 foot 6":     {Why: WhyKeyword, Said: "Anvil"},
		"Anvil signl no foot 6":     {Why: WhyKeyword, Said: "signl"},
		"Anvil colour red lip 4":    {},
		"Anvil lip 400":             {Why: WhyRange, Said: "lip 400"},
		"Anvil lip 4 bananas":       {Why: WhyKeyword, Said: "bananas"},
		"Anvil lip 4 above water":   {Why: WhyKeyword, Said: "above"},
		"Anvil people 0":            {Why: WhyRange, Said: "people 0"},
		"Anvil people many":         {Why: WhyRange, Said: "people many"},
		"Anvil people 3 mates":      {Why: WhyKeyword, Said: "mates"},
		"Anvil walkout far":         {Why: WhyRange, Said: "walkout far"},
		"Anvil walkout 11h":         {Why: WhyRange, Said: "walkout 11h"},
		"Anvil timezone Lisbon":     {Why: WhyToken, Said: "timezone Lisbon"},
		"Anvil timezone local":      {Why: WhyToken, Said: "timezone local"},
		"Anvil lip 4 in":            {Why: WhyUnit, Said: "lip 4 in"},
		"Anvil lip high":            {Why: WhyNumber, Said: "lip high"},
		"Anvil faces 361":           {Why: WhyToken, Said: "faces 361"},
		"Anvil faces seaward":       {Why: WhyToken, Said: "faces seaward"},
		"Anvil open 200":            {Why: WhyToken, Said: "open 200"},
		"Anvil open 200-200":        {Why: WhyToken, Said: "open 200-200"},
		"Anvil slope 2":             {Why: WhyToken, Said: "slope 2"},
		"Anvil signal maybe":        {Why: WhyToken, Said: "signal maybe"},
		"Anvil number ring Mo":      {Why: WhyToken, Said: "number"},
		"Anvil at 38.91 -123.72":    {Why: WhyCoarse, Said: ""},
		`"Anvil" colour red`:        {Why: WhyKeyword, Said: "colour"},
		strings.Repeat("long ", 20): {Why: WhyLong, Said: strings.TrimSpace(strings.Repeat("long ", 20))},
	} {
		got, err := LedgeCard(in)
		if want.Why == "" { // words in front of the first keyword are the name: the echo shows it
			if err != nil || got.Name != "Anvil colour red" {
				t.Errorf("LedgeCard(%q) = %+v, %v, want the whole as name", in, got, err)
			}
			continue
		}
		var u *Unread
		if !errors.As(err, &u) || u.Why != want.Why || (u.Said != want.Said && u.Why != WhyKeyword) {
			t.Errorf("LedgeCard(%q) = %+v, %v, want Unread %q %s", in, got, err, want.Said, want.Why)
		} else if u.Why == WhyKeyword && len(u.Known) == 0 {
			t.Errorf("LedgeCard(%q) fails without naming the known keywords", in)
		}
	}
	if _, err := LedgeCard("Anvil lip 4 height 5"); err.(*Unread).Said != "height" {
		t.Errorf("LedgeCard names %q as unknown, want height", err.(*Unread).Said)
	}
}

func TestRule(t *testing.T) {
	zone, _ := time.LoadLocation("America/Los_Angeles")
	now := time.Date(2026, 3, 12, 14, 30, 0, 0, zone)
	cm30 := &Size{UM: 300_000, Unit: Centimetre}
	for in, want := range map[string]RuleFields{
		RuleExample:                           {Named: "greenling", Min: cm30, Bag: to(10), Source: "Example Coast pack", Checked: time.Date(2026, 3, 2, 0, 0, 0, 0, zone)},
		"kelp greenling bag 0":                {Named: "kelp greenling", Bag: to(0)},
		"lingcod min 22 in":                   {Named: "lingcod", Min: &Size{UM: 558_800, Unit: Inch}},
		"lingcod min 22":                      {Named: "lingcod", Min: &Size{UM: 558_800, Unit: Inch}},
		"morwong min 36cm max 46 cm":          {Named: "morwong", Min: &Size{UM: 360_000, Unit: Centimetre}, Max: &Size{UM: 460_000, Unit: Centimetre}},
		"greenling bag 10 checked 2 Apr":      {Named: "greenling", Bag: to(10), Checked: time.Date(2025, 4, 2, 0, 0, 0, 0, zone)},
		"greenling bag 10 checked 3/2":        {Named: "greenling", Bag: to(10), Checked: time.Date(2026, 3, 2, 0, 0, 0, 0, zone)},
		"greenling bag 10 checked 2025-12-31": {Named: "greenling", Bag: to(10), Checked: time.Date(2025, 12, 31, 0, 0, 0, 0, zone)},
		"greenling bag 10 checked today":      {Named: "greenling", Bag: to(10), Checked: time.Date(2026, 3, 12, 0, 0, 0, 0, zone)},
		"greenling bag 10 checked 29 Feb":     {Named: "greenling", Bag: to(10), Checked: time.Date(2024, 2, 29, 0, 0, 0, 0, zone)},
	} {
		got, err := Rule(in, Imperial, now, zone, MonthFirst)
		if err != nil || !got.Checked.Equal(want.Checked) {
			t.Errorf("Rule(%q) = %+v, %v, want %+v", in, got, err, want)
			continue
		}
		got.Checked = want.Checked
		if !reflect.DeepEqual(got, want) {
			t.Errorf("Rule(%q) = %+v, want %+v", in, got, want)
		}
	}
	for in, why := range map[string]Word{
		"": WhyMissing, "greenling": WhyMissing, "min 30": WhyMissing, "greenling min": WhyMissing, "greenling min big": WhyNumber,
		"greenling min 30 cm size 10": WhyToken, "greenling bag ten": WhyNumber, "greenling bag 10 checked tomorrow": WhyRange,
		"greenling bag 10 checked 2027-01-01": WhyRange, "greenling bag 10 checked 31 Feb": WhyDate, "greenling bag 10 checked lately": WhyToken,
		"greenling min 40 max 30": WhyClash, "greenling bag 999": WhyRange, "greenling bag 3 bag 4": WhyTwice,
	} {
		got, err := Rule(in, Imperial, now, zone, MonthFirst)
		var u *Unread
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("Rule(%q) = %+v, %v, want Unread %s", in, got, err, why)
		} else if u.Example == "" && why != WhyTwice {
			t.Errorf("Rule(%q) fails without an example", in)
		}
	}
}

func TestPayload(t *testing.T) {
	for _, p := range []Payload{
		{Act: "off", Ref: "outing/k3f9", Arg: "30", Rev: 100}, {Act: "x"}, {Act: "a|b%c", Ref: "é 🐟", Arg: "\n", Rev: math.MaxInt},
		{Act: "more", Arg: "2026-03-14T05:00+11:00"},
	} {
		s, err := Pack(p)
		if err != nil || len(s) > MaxPayload {
			t.Errorf("Pack(%+v) = %q (%d bytes), %v", p, s, len(s), err)
		}
		for _, r := range s {
			if r < '!' || r > '~' {
				t.Errorf("Pack(%+v) = %q: %q is not printable ASCII", p, s, r)
			}
		}
		if got, err := Unpack(s); err != nil || got != p {
			t.Errorf("Unpack(%q) = %+v, %v, want %+v", s, got, err, p)
		}
	}
	for _, p := range []Payload{{}, {Act: "x", Rev: -1}, {Act: strings.Repeat("x", 64)}, {Act: "x", Ref: strings.Repeat("é", 11)}} {
		if s, err := Pack(p); err == nil {
			t.Errorf("Pack(%+v) = %q, want an error", p, s)
		}
	}
	for in, why := range map[string]Word{
		"": WhyPayload, "b|x": WhyVersion, "off:3": WhyVersion, "a": WhyPayload, "ax||": WhyPayload, "a|||0": WhyPayload, "ax|||-1": WhyPayload,
		"ax|||": WhyPayload, "ax|||01": WhyPayload, "ax|%4|y|0": WhyPayload, "ax|%41|y|0": WhyPayload, "ax|y|z|0|": WhyPayload,
		"ax|" + strings.Repeat("y", 64) + "||0": WhyPayload, "ax|||zzzzzzzzzzzzzzzz": WhyPayload,
	} {
		got, err := Unpack(in)
		var u *Unread
		if !errors.As(err, &u) || u.Why != why {
			t.Errorf("Unpack(%q) = %+v, %v, want Unread %s", in, got, err, why)
		}
	}
}

// TestPayloadGolden: buttons in old chats must decode for ever.
func TestPayloadGolden(t *testing.T) {
	want := Payload{Act: "more", Ref: "outing/k3f9", Arg: "30", Rev: 100}
	if got, err := Unpack("amore|outing/k3f9|30|2s"); err != nil || got != want {
		t.Errorf("Unpack = %+v, %v, want %+v", got, err, want)
	}
}
