package ledge

import (
	"ledgehand/conditions/checkrows"
	"path/filepath"
	"regexp"
	"strconv"
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
