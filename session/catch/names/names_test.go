package names

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func ids(list []Species) []string {
	var out []string
	for _, s := range list {
		out = append(out, s.ID)
	}
	slices.Sort(out)
	return out
}

// TestFind holds the cases trade usage is clear about (common practice, no source).
func TestFind(t *testing.T) {
	for _, tt := range []struct {
		outcome, name, area string
		want                []string
	}{
		{"BlackfishIsLuderickInNewSouthWales", "blackfish", "AU-NSW", []string{"girella_tricuspidata"}},
		{"BlackfishIsTautogInTheUSNorthEast", "Blackfish", "US-NE", []string{"tautoga_onitis"}},
		{"BlackfishIsGaljoenInSouthAfrica", "blackfish", "ZA-EC", []string{"dichistius_capensis"}},
		{"SharedNameGivesAll", "drummer", "AU-NSW", []string{"girella_elevata", "kyphosus_sydneyanus"}},
		{"SharedNameIsSettledByTheState", "bream", "AU-NSW", []string{"acanthopagrus_australis"}},
		{"SharedNameIsOpenInAnotherState", "bream", "AU-VIC", []string{"acanthopagrus_australis", "acanthopagrus_butcheri"}},
		{"RegionComesBeforeAnywhere", "opaleye", "US-CA", []string{"girella_nigricans"}},
		{"PluralOfAKnownName", "luderick's", "AU-NSW", nil},
		{"PluralWithS", "breams", "AU-NSW", []string{"acanthopagrus_australis"}},
		{"SpacesAndCase", "  Black   DRUMMER ", "AU-NSW", []string{"girella_elevata"}},
		{"Misspelling", "taylor", "AU-NSW", []string{"pomatomus_saltatrix"}},
		{"ScientificName", "girella elevata", "JP", []string{"girella_elevata"}},
		{"ForeignScript", "メジナ", "JP-W", []string{"girella_punctata"}},
		{"GalicianSargos", "sargos", "ES-GA", []string{"diplodus_sargus"}},
		{"BritishNameInIreland", "mackie", "IE-SW", []string{"scomber_scombrus"}},
		{"NameOfAnotherCoastIsUnknown", "elf", "AU-NSW", nil},
		{"CoastNotKnown", "reds", "US", nil},
		{"Unknown", "mermaid", "AU-NSW", nil},
		{"Empty", "", "AU-NSW", nil},
		{"OneLetter", "s", "AU-NSW", nil},
	} {
		t.Run(tt.outcome, func(t *testing.T) {
			if got := ids(Find(tt.name, tt.area)); !slices.Equal(got, tt.want) {
				t.Errorf("Find(%q, %q) = %v, want %v", tt.name, tt.area, got, tt.want)
			}
		})
	}
}

func TestInputOnlyNamesAreUnderstoodAndMarked(t *testing.T) {
	for _, name := range []string{"jew", "jewie", "jewies", "Jewfish"} {
		if got := Find(name, "AU-NSW"); len(got) != 1 || got[0].Canonical != "mulloway" {
			t.Errorf("Find(%q, AU-NSW) = %v, want mulloway", name, got)
		}
		if !InputOnly(name) {
			t.Errorf("InputOnly(%q) = false, want true", name)
		}
	}
	if InputOnly("mulloway") {
		t.Error("InputOnly(mulloway) = true, want false")
	}
	for row := range rows(speciesCSV) {
		if InputOnly(row[2]) {
			t.Errorf("species %s is shown as %q, which is a name never to print", row[0], row[2])
		}
	}
}

func TestTablesHoldTogether(t *testing.T) {
	count := 0
	for row := range rows(speciesCSV) {
		if count++; len(row) != 3 {
			t.Errorf("species.csv row %v: %d fields, want 3", row, len(row))
		}
		if s, ok := ByID(row[0]); !ok || s.Scientific != row[1] {
			t.Errorf("ByID(%q) = %v, %v, want %q", row[0], s, ok, row[1])
		}
	}
	if count != 155 {
		t.Errorf("species.csv has %d species, want 155", count)
	}
	for name, csv := range map[string]string{"names.csv": namesCSV, "local.csv": localCSV, "species.csv": speciesCSV} {
		if strings.Contains(csv, `"`) {
			t.Errorf("%s has a quoted field, which rows does not read", name)
		}
	}
	kinds := []string{"canonical", "synonym", "shared", "misspelling", "input-only"}
	for row := range rows(namesCSV) {
		if _, ok := ByID(row[0]); len(row) != 4 || !ok || !slices.Contains(kinds, row[3]) {
			t.Errorf("names.csv row %v: want a known species, a name, a region and a kind", row)
		}
	}
	for row := range rows(localCSV) {
		country, _, _ := strings.Cut(row[1], "-")
		if !slices.Contains(ids(Find(row[0], country)), row[2]) {
			t.Errorf("local.csv row %v: not one of the species that share the name in %s", row, country)
		}
	}
	if _, ok := ByID("nosuch_fish"); ok {
		t.Error("ByID(nosuch_fish) found something")
	}
}

// TestTableIsTheSharedOne keeps the embedded tables equal to the project's name table.
func TestTableIsTheSharedOne(t *testing.T) {
	raw, err := os.ReadFile(filepath.FromSlash("../../../../shared/data/fish/names.csv"))
	if err != nil {
		t.Skipf("the shared name table is not beside the repository: %v", err)
	}
	want := map[string]bool{}
	for row := range rows(string(raw)) {
		want[row[0]+","+row[3]+","+row[5]+","+row[6]] = true
	}
	got := map[string]bool{}
	for row := range rows(namesCSV) {
		got[strings.Join(row, ",")] = true
	}
	for line := range want {
		if !got[line] {
			t.Errorf("names.csv lacks %q", line)
		}
	}
	if len(got) != len(want) {
		t.Errorf("names.csv has %d rows, want %d", len(got), len(want))
	}
}

func BenchmarkFind(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		Find("black drummer", "AU-NSW")
	}
}
