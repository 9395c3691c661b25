package tide

import (
	"encoding/json"
	"ledgehand/conditions/checkrows"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// kept holds the check tables of this repository, full the untrimmed ones where the shared folder lies beside it.
var (
	kept = filepath.Join("..", "..", "testdata", "tides")
	full = filepath.Join("..", "..", "..", "shared", "data", "tide", "checks")
)

// by groups rows by a column.
func by(rows []row, col string) map[string][]row {
	out := map[string][]row{}
	for _, r := range rows {
		out[r[col]] = append(out[r[col]], r)
	}
	return out
}

// spread collects differences.
type spread struct{ all []float64 }

func (s *spread) add(v float64) { s.all = append(s.all, v) }

func (s *spread) mean() float64 {
	var sum float64
	for _, v := range s.all {
		sum += v
	}
	return sum / float64(len(s.all))
}

func (s *spread) sd() float64 {
	m, sum := s.mean(), 0.0
	for _, v := range s.all {
		sum += (v - m) * (v - m)
	}
	return math.Sqrt(sum / float64(len(s.all)))
}

func (s *spread) max() float64 {
	var m float64
	for _, v := range s.all {
		m = math.Max(m, math.Abs(v))
	}
	return m
}

// Where the untrimmed tables are at hand, every line kept here must be one of theirs.
func TestKeptTablesAreTrueCopies(t *testing.T) {
	if _, err := os.Stat(full); err != nil {
		t.Skip("no shared folder beside the repository: nothing to compare with")
	}
	files, err := os.ReadDir(kept)
	if err != nil || len(files) == 0 {
		t.Fatalf("ReadDir(%s) = %d files, %v", kept, len(files), err)
	}
	for _, f := range files {
		ours, err := os.ReadFile(filepath.Join(kept, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		theirs, err := os.ReadFile(filepath.Join(full, f.Name()))
		if err != nil {
			t.Fatal(err)
		}
		have := map[string]bool{}
		for _, l := range strings.Split(string(theirs), "\n") {
			have[strings.TrimRight(l, "\r")] = true
		}
		for _, l := range strings.Split(string(ours), "\n") {
			if !have[strings.TrimRight(l, "\r")] {
				t.Errorf("%s: line %q is not in the source table", f.Name(), l)
			}
		}
	}
}

// vlissingen are the constants of Rijkswaterstaat, whose phases are for clocks at UTC+1.
func vlissingen(t testing.TB) []Constituent {
	t.Helper()
	body, err := os.ReadFile(filepath.Join(kept, "rws_constants.json"))
	if err != nil {
		t.Fatal(err)
	}
	var file map[string]struct {
		Constituents map[string][2]float64
	}
	if err := json.Unmarshal(body, &file); err != nil {
		t.Fatal(err)
	}
	var out []Constituent
	for name, c := range file["rws/VLISSGN"].Constituents {
		out = append(out, constituent(name, c))
	}
	return out
}

// row is one line of a table.
type row = checkrows.Row

func readTable(t testing.TB, dir, name string) []row {
	t.Helper()
	return checkrows.Read(t, filepath.Join(dir, name))
}

// overTables runs a check on the tables kept here, and on the untrimmed ones if they are there.
func overTables(t *testing.T, check func(t *testing.T, dir string)) {
	checkrows.Over(t, kept, full, check)
}
