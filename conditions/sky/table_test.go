package sky

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"ledgehand/conditions/measure"
)

// The tables name in every row the almanac its numbers come from. Those in testdata/sky are copies,
// some of them thinned; the whole ones are read as well where the shared folder lies beside the repository.
const (
	copies = "../../testdata/sky"
	whole  = "../../../shared/data/astro"
)

// row is one line of a table, by column name.
type row map[string]string

func (r row) num(t testing.TB, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return v
}

func (r row) position(t testing.TB) measure.Position {
	t.Helper()
	return measure.Position{Lat: r.num(t, "lat_deg"), Lon: r.num(t, "lon_deg_east")}
}

func (r row) date(t testing.TB, column string) Date {
	t.Helper()
	d, err := ParseDate(r[column])
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return d
}

// utc reads an instant, with or without seconds.
func utc(t testing.TB, s string) time.Time {
	t.Helper()
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z"} {
		if at, err := time.Parse(layout, s); err == nil {
			return at
		}
	}
	t.Fatalf("instant %q: not RFC 3339", s)
	return time.Time{}
}

// eachTable runs check on the copy of a table and, where it is at hand, on the whole one.
func eachTable(t *testing.T, name string, check func(t *testing.T, rows []row)) {
	t.Run("Copy", func(t *testing.T) { check(t, readTable(t, filepath.Join(copies, name))) })
	if _, err := os.Stat(whole); err == nil {
		t.Run("Whole", func(t *testing.T) { check(t, readTable(t, filepath.Join(whole, name))) })
	}
}

func readTable(t testing.TB, path string) []row {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatalf("table of check values: %v", err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("table %s: %d lines, %v", path, len(lines), err)
	}
	var rows []row
	for _, l := range lines[1:] {
		r := row{}
		for i, h := range lines[0] {
			r[h] = l[i]
		}
		rows = append(rows, r)
	}
	return rows
}

// worst keeps the largest error and how many were looked at.
type worst struct {
	n     int
	error float64
	where string
}

func (w *worst) see(err float64, where string) {
	w.n++
	if math.Abs(err) > math.Abs(w.error) {
		w.error, w.where = err, where
	}
}

func (w *worst) report(t *testing.T, unit string) {
	t.Helper()
	if w.n == 0 {
		t.Fatal("no row of the table was checked")
	}
	t.Logf("%d checked, largest error %.4g %s at %s", w.n, w.error, unit, w.where)
}
