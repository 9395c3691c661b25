package tide

import (
	_ "embed"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

// constituentTable lists the lines by name: multiples of T, s, h, p, p1, a constant in degrees, and the
// node rule. T is the hour angle of the mean sun, 15° an hour from 180° at midnight UTC, so that the
// constants are Schureman's; in the Doodson form they differ by 180° for every odd species.
//
//go:embed constituents.csv
var constituentTable string

// A line is one term of the sum: how its argument and its node factors are made.
type line struct {
	name  string
	v     [5]float64 // multiples of T, s, h, p, p1
	konst float64    // degrees
	nodes []nodeTerm
}

// A nodeTerm is one factor of a product: u adds with the sign of by, f with its size.
type nodeTerm struct {
	of int
	by float64
}

var lines = sync.OnceValue(func() map[string]*line {
	all := map[string]*line{}
	var rules [][2]string
	for i, row := range strings.Split(strings.TrimSpace(constituentTable), "\n") {
		if i == 0 {
			continue
		}
		f := strings.Split(row, ",")
		l := &line{name: f[0]}
		for j := range l.v {
			l.v[j] = mustNumber(f[1+j])
		}
		l.konst = mustNumber(f[6])
		all[l.name] = l
		rules = append(rules, [2]string{l.name, f[7]})
	}
	var resolve func(rule string) []nodeTerm
	ruleOf := map[string]string{}
	for _, r := range rules {
		ruleOf[r[0]] = r[1]
	}
	resolve = func(rule string) []nodeTerm {
		switch {
		case rule == "1":
			return nil
		case rule == "MSf": // f of M2, u turned round
			return []nodeTerm{{ofM2, -1}}
		case rule == "M3": // the three-halves power of M2
			return []nodeTerm{{ofM2, 1.5}}
		case !strings.Contains(rule, "^"):
			of, ok := nodeLine[rule]
			if !ok {
				panic(fmt.Sprintf("constituent table: unknown node rule %q", rule))
			}
			return []nodeTerm{{of, 1}}
		}
		var out []nodeTerm
		for _, part := range strings.Split(rule, "*") {
			name, power, _ := strings.Cut(part, "^")
			out = addTerms(out, resolve(ruleOf[name]), mustNumber(power))
		}
		return out
	}
	for _, r := range rules {
		all[r[0]].nodes = resolve(r[1])
	}
	return all
})

// addTerms multiplies a product by a power of another line. Terms of one kind are not merged: S2/K2 of
// opposite sign must not cancel in f.
func addTerms(to, terms []nodeTerm, power float64) []nodeTerm {
	for _, t := range terms {
		to = append(to, nodeTerm{t.of, t.by * power})
	}
	return to
}

func mustNumber(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic("constituent table: " + err.Error()) // the table is ours and tested
	}
	return v
}

// Other spellings of the same line with the same phase convention. A name whose authors turn its phase
// (SGM for SIGMA1) is left unknown on purpose.
var sameLine = map[string]string{
	"LAMBDA2": "LAM2", "LABDA2": "LAM2", "LDA2": "LAM2", "RHO1": "RHO", "EP2": "EPS2",
	"SIG1": "SIGMA1", "THE1": "THETA1", "SM": "MSF",
}

// UnknownConstituentError names a constituent that is neither in the table nor a compound that adds up.
type UnknownConstituentError struct{ Name string }

func (e UnknownConstituentError) Error() string {
	return fmt.Sprintf("unknown tidal constituent %q", e.Name)
}

// lineNamed finds a line by name: table, other spelling, else a compound read letter by letter.
func lineNamed(name string) (*line, error) {
	n := strings.ToUpper(strings.TrimSpace(name))
	if other, ok := sameLine[n]; ok {
		n = other
	}
	if l, ok := lines()[n]; ok {
		return l, nil
	}
	if l, ok := compound(n); ok {
		return l, nil
	}
	return nil, UnknownConstituentError{Name: name}
}
