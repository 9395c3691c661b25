package command

import (
	"strings"
)

// QuietHours reads hours of a day such as "22-7", "10pm to 6:30am" or "22:00–07:00" as minutes after midnight. A bare number is an hour of
// the 24-hour clock; where one side says am or pm the other must too. ok is false for anything else, and for no time at all.
func QuietHours(s string) (from, to int, ok bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	for _, sep := range []string{"–", "—", " to ", " until ", " till ", " a ", " hasta "} {
		s = strings.ReplaceAll(s, sep, "-")
	}
	a, b, found := strings.Cut(s, "-")
	if !found {
		return 0, 0, false
	}
	from, half1, ok1 := clockMinutes(a)
	to, half2, ok2 := clockMinutes(b)
	return from, to, ok1 && ok2 && half1 == half2 && from != to
}

// clockMinutes reads one clock time; half says that it was told with am or pm.
func clockMinutes(s string) (m int, half, ok bool) {
	s = strings.ReplaceAll(strings.ReplaceAll(strings.TrimSpace(s), " ", ""), ".", ":")
	add := 0
	for _, x := range []struct {
		suffix string
		add    int
	}{{"am", 0}, {"pm", 12}, {"a:m:", 0}, {"p:m:", 12}} {
		if rest, found := strings.CutSuffix(s, x.suffix); found {
			s, add, half = rest, x.add, true
			break
		}
	}
	h, min, _ := strings.Cut(strings.TrimSuffix(s, "h"), ":")
	hour, ok1 := digits(h)
	minute, ok2 := 0, true
	if min != "" {
		minute, ok2 = digits(min)
		ok2 = ok2 && len(min) == 2
	}
	if !ok1 || !ok2 || minute > 59 || hour > 24 || hour == 24 && minute > 0 || half && (hour < 1 || hour > 12) {
		return 0, half, false
	}
	if half {
		hour = hour%12 + add
	}
	return hour%24*60 + minute, half, true
}

func digits(s string) (n int, ok bool) {
	if s == "" || len(s) > 2 {
		return 0, false
	}
	for _, r := range s {
		if r < '0' || r > '9' {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, true
}
