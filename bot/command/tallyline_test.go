package command

import (
	"errors"
	"strings"
	"testing"
)

func TestTallyLines(t *testing.T) {
	for line, want := range map[string]TallyLine{
		"": {What: TallyMine}, " me ": {What: TallyMine}, "2025": {What: TallyMine, Year: 2025}, "mine 2025": {What: TallyMine, Year: 2025}, "mías 2024": {What: TallyMine, Year: 2024},
		"crew": {What: TallyCrew}, "CREW 2025": {What: TallyCrew, Year: 2025}, "grupo": {What: TallyCrew}, "Cuadrilla 2026": {What: TallyCrew, Year: 2026},
		"Anvil": {What: TallyLedge, Rest: "Anvil"}, "Long  Step": {What: TallyLedge, Rest: "Long Step"}, "12": {What: TallyLedge, Rest: "12"},
		"export": {What: TallyExport}, "exportar": {What: TallyExport}, "export mine": {What: TallyExportMine}, "exporta mías": {What: TallyExportMine},
		"counts on": {What: TallyCounts, On: true}, "counts off": {What: TallyCounts}, "recuento sí": {What: TallyCounts, On: true}, "recuento no": {What: TallyCounts},
		"compare tide": {What: TallyCompare, By: "tide"}, "comparar luz": {What: TallyCompare, By: "light"}, "compare off": {What: TallyCompare}, "compara nada": {What: TallyCompare},
		"season from July": {What: TallySeason, Month: 7}, "season 1": {What: TallySeason, Month: 1}, "temporada desde septiembre": {What: TallySeason, Month: 9}, "season mar": {What: TallySeason, Month: 3},
		"licence CC BY": {What: TallyLicence, Licence: "CC-BY"}, "license cc0": {What: TallyLicence, Licence: "CC0"}, "licencia cc-by-nc 4.0": {What: TallyLicence, Licence: "CC-BY-NC"}, "licencia ninguna": {What: TallyLicence},
		"name on": {What: TallyName, On: true}, "nombre no": {What: TallyName},
	} {
		if got, err := Tally(line); err != nil || got != want {
			t.Errorf("Tally(%q) = %+v, %v, want %+v", line, got, err, want)
		}
	}
	for _, line := range []string{"crew twice", "me 99", "export everything", "counts", "counts maybe", "compare", "compare moon", "compare tide light", "season", "season 13", "season moon", "licence", "licence mine", "name", "crew 2025 2026"} {
		_, err := Tally(line)
		var un *Unread
		if !errors.As(err, &un) || un.Said != strings.TrimSpace(line) || un.Example == "" {
			t.Errorf("Tally(%q): %v, want it refused with an example", line, err)
		}
	}
}

func FuzzTally(f *testing.F) {
	for _, s := range []string{"", "crew 2025", "Anvil", "season from July", "licencia cc by", "compare marea", "\x00", "counts  ON"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, line string) {
		got, err := Tally(line)
		if err == nil && (got.What == "" || got.What == TallyLedge && strings.TrimSpace(got.Rest) == "" || got.Month < 0 || got.Month > 12) {
			t.Errorf("Tally(%q) = %+v", line, got)
		}
		if again, err1 := Tally(" " + line + " "); again != got && err == nil && err1 == nil {
			t.Errorf("spaces around %q make it %+v, not %+v", line, again, got)
		}
	})
}
