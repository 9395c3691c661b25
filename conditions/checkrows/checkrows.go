// Package checkrows reads the tables of published check values that tests compare with: CSV with a header, one value
// or case a row, each row naming its source and, where it has one, its own tolerance. It is for tests only.
package checkrows

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Row is one line of a table, by column name.
type Row map[string]string

// Read reads a whole table; one that is missing, empty or ragged fails the test.
func Read(t testing.TB, path string) []Row {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatalf("table of check values: %v", err)
	}
	defer func() { _ = f.Close() }()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("table %s: %d lines, %v", filepath.Base(path), len(lines), err)
	}
	rows := make([]Row, 0, len(lines)-1)
	for _, l := range lines[1:] {
		r := Row{}
		for i, h := range lines[0] {
			r[h] = l[i]
		}
		rows = append(rows, r)
	}
	return rows
}

// Over runs a check on the folder of copies, some of them thinned, and on that of the whole tables where it is at hand.
func Over(t *testing.T, copies, whole string, check func(t *testing.T, dir string)) {
	t.Helper()
	t.Run("Copies", func(t *testing.T) { check(t, copies) })
	if _, err := os.Stat(whole); err == nil {
		t.Run("Whole", func(t *testing.T) { check(t, whole) })
	}
}

// Num is a column's number; "inf" is infinite.
func (r Row) Num(t testing.TB, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return v
}

// Tol is the row's own tolerance, "1e-6", "1e-5 rel" or "0.2% rel", as an absolute one; relative ones go with "value".
func (r Row) Tol(t testing.TB) float64 {
	t.Helper()
	s, rel := strings.CutSuffix(r["tol"], " rel")
	s, percent := strings.CutSuffix(s, "%")
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatalf("tolerance %q: %v", r["tol"], err)
	}
	if percent {
		v /= 100
	}
	if rel {
		v *= math.Abs(r.Num(t, "value"))
	}
	return v
}

// Time is a column's instant, UTC.
func (r Row) Time(t testing.TB, column string) time.Time {
	t.Helper()
	return Time(t, r[column])
}

// Time reads an instant as the tables write it, with or without seconds or zone, as UTC.
func Time(t testing.TB, s string) time.Time {
	t.Helper()
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z", "2006-01-02T15:04:05"} {
		if at, err := time.Parse(layout, s); err == nil {
			return at.UTC()
		}
	}
	t.Fatalf("instant %q: not RFC 3339", s)
	return time.Time{}
}

// Worst keeps the greatest error over its tolerance, for the record.
type Worst struct {
	ratio, err float64
	at         string
	Rows       int // how many were checked
}

// Check fails unless got is within tol of want; NaN never is.
func (w *Worst) Check(t testing.TB, at string, got, want, tol float64) {
	t.Helper()
	w.Rows++
	d := math.Abs(got - want)
	if !(d <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g (off by %.2g)", at, got, want, tol, d)
	}
	if tol > 0 && (w.at == "" || d/tol > w.ratio) {
		w.ratio, w.err, w.at = d/tol, d, at
	}
}

// Log says what was the worst, and fails if nothing was checked.
func (w *Worst) Log(t testing.TB) {
	t.Helper()
	if w.Rows == 0 {
		t.Error("no row of the table was checked")
	}
	t.Logf("%d values; worst %.3g, %.3g of its tolerance, at %s", w.Rows, w.err, w.ratio, w.at)
}
