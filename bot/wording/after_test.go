package wording

import (
	"strings"
	"testing"

	"ledgehand/conditions/ledge"
	"ledgehand/session/after"
)

func init() { areas["after"] = afterSamples }

func afterSamples(w Words, c cast) []sample {
	r := after.Report{ID: "k1", Ledge: c.anvil, Zone: zoneName, From: at(7, 0), To: at(11, 0)}.Ask([]after.Person{
		{ID: 1, Name: c.ana, Chat: 1, Off: at(11, 0)}, {ID: 2, Name: c.bram, Chat: -9, Off: at(11, 0)}, {ID: 3, Name: c.chidi, Chat: -9, Off: at(10, 0)},
	}, at(14, 0))
	said := func(by int64, water after.Water, wet after.Wet) after.Report {
		r, _, err := r.Answer(by, water, wet, at(14, 5))
		if err != nil {
			panic(err)
		}
		return r
	}
	return []sample{
		{"asked in private", w.After(r, 1)},
		{"asked in the group", w.After(r, -9)},
		{"half an answer", w.After(said(1, after.WaterSome, ""), 1)},
		{"answered", w.After(said(1, after.WaterNo, after.WetNo), 1)},
		{"answered in the group", w.After(said(3, after.WaterOften, after.WetKnocked), -9)},
		{"near miss", w.T("after_near", "ledge", c.anvil)},
		{"near miss kept", w.T("near_kept", "ledge", c.anvil) + "\n" + w.NearMiss(at(9, 0), "knocked over by the third wave of a set, "+c.bram+" held my belt")},
		{"watches and reports", w.Learned(ledge.Lesson{Watches: 5, Reports: 2, Wet: 1, Factor: 0.94, Low: 0.6, High: 1.5})},
		{"one report", w.Learned(ledge.Lesson{Watches: 1, Reports: 1, Factor: 0.94, Low: 0.6, High: 1.5})},
	}
}

// The chat service may give the group another id between the question and the answer.
func TestAnAnswerIsShownInAMovedGroup(t *testing.T) {
	r := after.Report{ID: "k1", Ledge: "Anvil", Zone: zoneName, From: at(7, 0)}.Ask([]after.Person{{ID: 1, Name: "Ana", Chat: -9}}, at(14, 0))
	r, _, err := r.Answer(1, after.WaterOften, "", at(14, 1))
	if err != nil {
		t.Fatal(err)
	}
	if text := words(Metric).After(r, -1009); !strings.Contains(text, "Ana: water over it often") {
		t.Errorf("under another id the answer is not shown: %s", text)
	}
}
