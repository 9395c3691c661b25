package pump

import (
	"errors"
	"fmt"
	"regexp"
	"runtime"
	"strings"
)

// What an error says may quote what a person wrote, where a ledge lies or whom to ring. Logs and the reasons of dead
// letters are read by operators and lie open, so that goes no further.

var (
	inQuotes = regexp.MustCompile("(?s)\"(?:[^\"\\\\]|\\\\.)*\"|“[^”]*”|`[^`]*`")
	position = regexp.MustCompile(`[-+−]?\d+[.,]\d{2,}`)
	number   = regexp.MustCompile(`\+?\d(?:[ ()/-]?\d){6,}`) // as people write the numbers that others ring
)

// mostUntold bounds what is kept of an error; a stack is the longest.
const mostUntold = 4000

// untold is an error's text without what was quoted in it, without decimals that may be a position and without long
// numbers. Ids that were in quotes go too: the letter's own is logged beside it.
func untold(err error) string {
	if err == nil {
		return ""
	}
	var p *panicked
	if errors.As(err, &p) {
		return p.Error()
	}
	s := inQuotes.ReplaceAllString(err.Error(), "“…”")
	s = number.ReplaceAllString(position.ReplaceAllString(s, "#"), "#")
	return cut(s)
}

func cut(s string) string {
	if len(s) > mostUntold {
		s = strings.ToValidUTF8(s[:mostUntold], "") + "…"
	}
	return s
}

// panicked is a panic of a handler. What was panicked with may hold anything: only that the runtime says is told.
type panicked struct {
	what  string
	stack string
}

func panicOf(v any, stack []byte) *panicked {
	what := fmt.Sprintf("a %T", v)
	if e, ok := v.(runtime.Error); ok {
		what = untold(e)
	}
	return &panicked{what: what, stack: string(stack)}
}

func (p *panicked) Error() string { return cut("handler panicked: " + p.what + "\n" + p.stack) }
