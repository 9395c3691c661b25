package ledge

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// row is one line of a table of check values, by column name.
type row map[string]string

func table(t testing.TB, name string) []row {
	t.Helper()
	f, err := os.Open(filepath.Join(tables, name))
	if err != nil {
		t.Fatalf("table of check values: %v", err)
	}
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	if err != nil || len(lines) < 2 {
		t.Fatalf("table %s: %d lines, %v", name, len(lines), err)
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

func (r row) num(t testing.TB, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return v
}

// tol reads the row's own tolerance, "1e-6", "1e-5 rel" or "0.2% rel", as an absolute one.
func (r row) tol(t testing.TB) float64 {
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
		v *= math.Abs(r.num(t, "value"))
	}
	return v
}

// numbers matches text against a pattern whose groups are numbers.
func numbers(t testing.TB, pattern *regexp.Regexp, text string) []float64 {
	t.Helper()
	m := pattern.FindStringSubmatch(text)
	if m == nil {
		t.Fatalf("%q does not read like %v", text, pattern)
	}
	var out []float64
	for _, s := range m[1:] {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatalf("%q in %q: %v", s, text, err)
		}
		out = append(out, v)
	}
	return out
}

// worst keeps the greatest error over tolerance of a table, for the record.
type worst struct {
	ratio, err float64
	at         string
	rows       int
}

func (w *worst) check(t testing.TB, at string, got, want, tol float64) {
	t.Helper()
	w.rows++
	d := math.Abs(got - want)
	if !(d <= tol) { // NaN fails too
		t.Errorf("%s = %.9g, want %.9g within %.2g (off by %.2g)", at, got, want, tol, d)
	}
	if tol > 0 && (w.at == "" || d/tol > w.ratio) {
		w.ratio, w.err, w.at = d/tol, d, at
	}
}

func (w *worst) log(t testing.TB) {
	t.Helper()
	t.Logf("%d values; worst %.3g, %.3g of its tolerance, at %s", w.rows, w.err, w.ratio, w.at)
}
