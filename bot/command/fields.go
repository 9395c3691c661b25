package command

import (
	"slices"
	"strings"
)

// field is one keyword of a line and the words that follow it.
type field struct {
	key   string
	value []string
}

// fields splits "name key value key value" lines. The name is what stands before the first
// keyword, or what stands in quotes at the start (for names that hold a keyword).
func fields(text string, keys []string) (name string, list []field, err error) {
	if len(text) > MaxLine {
		return "", nil, &Unread{Said: "", Why: WhyLong}
	}
	text = strings.TrimSpace(text)
	quoted := false
	for _, marks := range []string{`""`, "“”"} {
		open, shut := string([]rune(marks)[0]), string([]rune(marks)[1])
		if inner, found := strings.CutPrefix(text, open); found {
			if before, after, found := strings.Cut(inner, shut); found {
				name, text, quoted = strings.TrimSpace(before), after, true
				break
			}
		}
	}
	var words []string
	for _, w := range strings.Fields(text) {
		key := strings.ToLower(strings.TrimRight(w, ":="))
		if !slices.Contains(keys, key) {
			if len(list) == 0 {
				words = append(words, w)
			} else {
				last := &list[len(list)-1]
				last.value = append(last.value, w)
			}
			continue
		}
		if slices.ContainsFunc(list, func(f field) bool { return f.key == key }) {
			return "", nil, &Unread{Said: w, Why: WhyTwice}
		}
		list = append(list, field{key: key})
	}
	if quoted {
		if len(words) > 0 {
			return "", nil, &Unread{Said: words[0], Why: WhyKeyword, Known: keys}
		}
		return name, list, nil
	}
	// "Anvil lipp 4.2 at ...": a number after a word in the name is most likely a keyword mistyped.
	for i := 1; i+1 < len(words); i++ {
		if next := words[i+1]; next[0] == '-' || isDigit(rune(next[0])) {
			return "", nil, &Unread{Said: words[i], Why: WhyKeyword, Known: keys}
		}
	}
	for _, w := range words[min(1, len(words)):] {
		if isDigit(rune(w[0])) && strings.ContainsAny(w, ".,°") {
			return "", nil, &Unread{Said: words[0], Why: WhyKeyword, Known: keys}
		}
		if near, ok := Nearest(w, keys); ok && len(w) > 3 {
			return "", nil, &Unread{Said: w, Why: WhyKeyword, Known: []string{near}}
		}
	}
	return strings.Join(words, " "), list, nil
}
