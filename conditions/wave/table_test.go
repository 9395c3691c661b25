package wave

import (
	"ledgehand/conditions/checkrows"
	"math"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// row is one line of a table; worst keeps its greatest error.
type (
	row   = checkrows.Row
	worst = checkrows.Worst
)

func table(t testing.TB, name string) []row {
	t.Helper()
	return checkrows.Read(t, filepath.Join(tables, name))
}

// The tables in testdata/waves say in every row where its number comes from: published worked
// examples recomputed, or computed independently of this code.
const tables = "../../testdata/waves"

var numberAfter = regexp.MustCompile(`([A-Za-z][A-Za-z0-9_,-]*)\s*=\s*(-?[0-9.]+)`)

// in finds "name=number" in a column of free text.
func in(t testing.TB, r row, column, name string) float64 {
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

// lastDigit is half a unit in the last of the digits a number was written with.
func lastDigit(s string) float64 {
	mantissa, exp, _ := strings.Cut(strings.ToLower(s), "e")
	e, _ := strconv.Atoi(exp)
	_, frac, _ := strings.Cut(mantissa, ".")
	return 0.5000001 * math.Pow(10, float64(e-len(frac)))
}
