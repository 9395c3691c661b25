package command

import (
	"strings"
	"unicode/utf8"
)

// Freezer reads "4 bream": how many fish of which name somebody has at home.
func Freezer(line string) (n int, named string, ok bool) {
	count, rest, two := strings.Cut(strings.TrimSpace(line), " ")
	named = strings.Join(strings.Fields(rest), " ")
	if !two || named == "" || utf8.RuneCountInString(named) > 40 || len(count) > 4 || strings.Trim(count, "0123456789") != "" {
		return 0, "", false
	}
	n = small(count)
	return n, named, n <= MaxCount
}
