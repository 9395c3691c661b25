package wave

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

// The tables in testdata/waves say in every row where its number comes from: published worked
// examples recomputed, or computed independently of this code.
const tables = "../../testdata/waves"

// row is one line of a table, by column name.
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
	if r[column] == "inf" {
		return math.Inf(1)
	}
	v, err := strconv.ParseFloat(r[column], 64)
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return v
}

// tol reads the row's own tolerance, "0.01", "1e-5 rel" or "0.2% rel", as an absolute one.
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

var numberAfter = regexp.MustCompile(`([A-Za-z][A-Za-z0-9_,-]*)\s*=\s*(-?[0-9.]+)`)

// in finds "name=number" in a column of free text.
func (r row) in(t testing.TB, column, name string) float64 {
	t.Helper()
	for _, m := range numberAfter.FindAllStringSubmatch(r[column], -1) {
		if m[1] == name || strings.HasSuffix(m[1], ","+name) {
			v, err := strconv.ParseFloat(m[2], 64)
			if err != nil {
				t.Fatalf("%q in %q: %v", name, r[column], err)
			}
			return v
		}
	}
	t.Fatalf("no %q in %q", name, r[column])
	return 0
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

// lastDigit is half a unit in the last of the digits a number was written with.
func lastDigit(s string) float64 {
	mantissa, exp, _ := strings.Cut(strings.ToLower(s), "e")
	e, _ := strconv.Atoi(exp)
	_, frac, _ := strings.Cut(mantissa, ".")
	return 0.5000001 * math.Pow(10, float64(e-len(frac)))
}
