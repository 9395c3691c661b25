package tide

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// kept holds the check tables of this repository, full the untrimmed ones where the shared folder lies beside it.
var (
	kept = filepath.Join("..", "..", "testdata", "tides")
	full = filepath.Join("..", "..", "..", "shared", "data", "tide", "checks")
)

type row map[string]string

func readTable(t testing.TB, dir, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("read %s: %d lines, %v", name, len(all), err)
	}
	out := make([]row, 0, len(all)-1)
	for _, cells := range all[1:] {
		r := row{}
		for i, c := range cells {
			r[all[0][i]] = c
		}
		out = append(out, r)
	}
	return out
}

// overTables runs a check on the tables kept here, and on the untrimmed ones if they are there.
func overTables(t *testing.T, check func(t *testing.T, dir string)) {
	t.Run("kept tables", func(t *testing.T) { check(t, kept) })
	t.Run("untrimmed tables", func(t *testing.T) {
		if _, err := os.Stat(full); err != nil {
			t.Skip("no shared folder beside the repository")
		}
		check(t, full)
	})
}

func (r row) num(t testing.TB, col string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[col], 64)
	if err != nil {
		t.Fatalf("column %s of %v: %v", col, r, err)
	}
	return v
}

func (r row) time(t testing.TB, col string) time.Time {
	t.Helper()
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z", "2006-01-02T15:04:05"} {
		if at, err := time.Parse(layout, r[col]); err == nil {
			return at.UTC()
		}
	}
	t.Fatalf("column %s of %v: no time", col, r)
	return time.Time{}
}

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
