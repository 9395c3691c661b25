package command

import (
	"slices"
	"strings"

	"ledgehand/session/catch/names"
)

// fellIn are the words for "somebody is in the water": whatever a frightened person thinks of first must do.
var fellIn = []string{"fellin", "inwater", "overboard", "sos", "mayday", "trouble"}

// FellIn says whether a typed command tells that somebody fell in. One slip in a longer word counts as well: nobody types it
// again from a ledge. Two would take in "/monday" and "/water".
func FellIn(cmd string, known []string) bool {
	return slices.Contains(fellIn, cmd) || !slices.Contains(known, cmd) && slices.ContainsFunc(fellIn, func(w string) bool {
		return len(w) > 5 && names.Slips(cmd, w) == 1
	})
}

// FellInPlainly says whether a line without a slash tells it, and nothing else.
func FellInPlainly(line string) bool {
	line = strings.ToLower(strings.Trim(strings.ReplaceAll(line, "’", "'"), " .!"))
	switch line {
	case "sos", "mayday", "man overboard", "overboard", "fell in", "he fell in", "she fell in", "somebody fell in", "someone fell in", "in the water",
		"man in the water", "person in the water", "somebody is in the water", "someone is in the water", "he's in the water", "she's in the water", "i fell in":
		return true
	}
	return false
}
