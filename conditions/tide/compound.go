package tide

import (
	"math"
	"strconv"
	"strings"
)

// letters are the lines that compound names are spelled with, longest spelling first where one begins another.
// K and S stand for two lines each; the second is tried when the first does not add up.
var letters = []struct {
	spelled string
	line    [2]string
}{
	{"LABDA", [2]string{"LAM2"}}, {"LAM", [2]string{"LAM2"}}, {"NU", [2]string{"NU2"}}, {"MU", [2]string{"MU2"}},
	{"M", [2]string{"M2"}}, {"S", [2]string{"S2", "S1"}}, {"N", [2]string{"N2"}}, {"K", [2]string{"K2", "K1"}},
	{"L", [2]string{"L2"}}, {"T", [2]string{"T2"}}, {"R", [2]string{"R2"}},
	{"O", [2]string{"O1"}}, {"P", [2]string{"P1"}}, {"Q", [2]string{"Q1"}}, {"J", [2]string{"J1"}},
}

type part struct {
	times int
	line  [2]string
}

// spelledOut are compound names that the rule below cannot read, because their multiplier is left out.
// 3MS2 is 3M2 − 2S2, 4MS4 is 4M2 − 2S2 (Rijkswaterstaat's list).
var spelledOut = map[string]string{"3MS2": "3M2S2", "4MS4": "4M2S4"}

// compound reads a compound by the rule of the IHO list of tidal constituents (2017), annex B: add the letters,
// then turn signs from the right until the species digit fits. K is K2 if that fits, else K1; S is S2, else S1.
// A lone M, S or N with a number is that many halves of M2, S2 or N2 (M7, S4); M1C is one half, where M1 and NO1 are lines of their own.
func compound(name string) (*line, bool) {
	if name == "M1C" {
		l := &line{name: name}
		l.add(lines()["M2"], 0.5)
		return l, true
	}
	spelling := name
	if s, ok := spelledOut[name]; ok {
		spelling = s
	}
	body := strings.TrimRight(spelling, "0123456789")
	species, err := strconv.Atoi(spelling[len(body):])
	if err != nil || species > 14 {
		return nil, false
	}
	if (body == "M" || body == "S" || body == "N") && species > 2 {
		l := &line{name: name}
		l.add(lines()[body+"2"], float64(species)/2)
		return l, true
	}
	parts, ok := spell(body)
	if !ok || len(parts) < 2 && parts[0].times < 2 || len(parts) > 6 {
		return nil, false
	}
	for _, other := range [][2]bool{{false, false}, {true, false}, {false, true}} { // K1 for K2, then S1 for S2
		if l, ok := addUp(name, parts, species, other[0], other[1]); ok {
			return l, true
		}
	}
	return nil, false
}

func addUp(name string, parts []part, species int, k1, s1 bool) (*line, bool) {
	chosen := make([]*line, len(parts))
	for i, p := range parts {
		pick := p.line[0]
		if p.line[1] != "" && (k1 && pick == "K2" || s1 && pick == "S2") {
			pick = p.line[1]
		}
		chosen[i] = lines()[pick]
	}
	for turned := 0; turned < len(parts); turned++ {
		l, sum := &line{name: name}, 0
		for i, p := range parts {
			times := p.times
			if i >= len(parts)-turned {
				times = -times
			}
			sum += times * int(chosen[i].v[0])
			l.add(chosen[i], float64(times))
		}
		if sum == species {
			return l, true
		}
	}
	return nil, false
}

// add adds a multiple of another line to this one.
func (l *line) add(of *line, times float64) {
	for i := range l.v {
		l.v[i] += times * of.v[i]
	}
	l.konst = math.Mod(l.konst+times*of.konst, 360)
	l.nodes = addTerms(l.nodes, of.nodes, times)
}

// spell splits "2MNU" or "2(MS)N" into its letters.
func spell(s string) ([]part, bool) {
	var out []part
	group, inGroup := 1, false
	for s != "" {
		times := 0
		for s != "" && s[0] >= '0' && s[0] <= '9' && times < 10 {
			times, s = times*10+int(s[0]-'0'), s[1:]
		}
		switch {
		case times > 9:
			return nil, false
		case times == 0:
			times = 1
		}
		switch {
		case strings.HasPrefix(s, "("):
			if inGroup {
				return nil, false
			}
			group, inGroup, s = times, true, s[1:]
			continue
		case strings.HasPrefix(s, ")"):
			if !inGroup {
				return nil, false
			}
			group, inGroup, s = 1, false, s[1:]
			continue
		}
		found := false
		for _, l := range letters {
			if rest, ok := strings.CutPrefix(s, l.spelled); ok {
				out, s, found = append(out, part{times * group, l.line}), rest, true
				break
			}
		}
		if !found {
			return nil, false
		}
	}
	return out, len(out) > 0 && !inGroup
}
