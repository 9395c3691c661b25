package sky

import (
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"ledgehand/conditions/checkrows"
	"ledgehand/conditions/measure"
)

// The tables name in every row the almanac its numbers come from. Those in testdata/sky are copies,
// some of them thinned; the whole ones are read as well where the shared folder lies beside the repository.
const (
	copies = "../../testdata/sky"
	whole  = "../../../shared/data/astro"
)

func position(t testing.TB, r row) measure.Position {
	t.Helper()
	return measure.Position{Lat: r.Num(t, "lat_deg"), Lon: r.Num(t, "lon_deg_east")}
}

func date(t testing.TB, r row, column string) Date {
	t.Helper()
	d, err := ParseDate(r[column])
	if err != nil {
		t.Fatalf("column %q of %v: %v", column, r, err)
	}
	return d
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

// row is one line of a table.
type row = checkrows.Row

// utc reads an instant, with or without seconds.
func utc(t testing.TB, s string) time.Time {
	t.Helper()
	return checkrows.Time(t, s)
}

// eachTable runs check on the copy of a table and, where it is at hand, on the whole one.
func eachTable(t *testing.T, name string, check func(t *testing.T, rows []row)) {
	checkrows.Over(t, copies, whole, func(t *testing.T, dir string) { check(t, checkrows.Read(t, filepath.Join(dir, name))) })
}

// eachWhole runs check on a whole table only, for what its copy does not show, where it is at hand.
func eachWhole(t *testing.T, name string, check func(t *testing.T, rows []row)) {
	t.Helper()
	if _, err := os.Stat(whole); err != nil {
		t.Skip("the whole tables are not at hand")
	}
	check(t, checkrows.Read(t, filepath.Join(whole, name)))
}
