package command

import (
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// HoursLine is a wish for hours that meet a group's limits.
type HoursLine struct {
	Least  time.Duration // how long at least; 0: not said
	Tide   TideWord
	Level  measure.Metres // with below and above
	Bare   bool           // the level had no unit
	Nights bool           // nights count too
	Rest   string         // what was about none of it: ledges
}

// TideWord is the tide somebody wishes for.
type TideWord string

// The tides people wish for.
const (
	TideAny    TideWord = ""
	TideMaking TideWord = "making"
	TideEbbing TideWord = "ebbing"
	TideLow    TideWord = "low"
	TideHigh   TideWord = "high"
	TideBelow  TideWord = "below"
	TideAbove  TideWord = "above"
)

// HoursExample is a whole wish.
const HoursExample = "Anvil 3h ebbing"

// Hours reads a wish such as "3h ebbing", "around low water", "below 1.2 m nights too". Ledge names may hold such words: take
// the names you know out first. Anything else is left in Rest; two tides or two lengths are *Unread.
func Hours(text string) (HoursLine, error) {
	var out HoursLine
	line, err := Tide(text)
	if err != nil {
		err.(*Unread).Example = HoursExample
		return out, err
	}
	set := func(t TideWord) bool {
		if out.Tide != TideAny && out.Tide != t {
			return false
		}
		out.Tide = t
		return true
	}
	clash := func(said string) (HoursLine, error) {
		return HoursLine{}, &Unread{Said: said, Why: WhyClash, Example: HoursExample}
	}
	switch {
	case line.Level != nil && line.Turn != "":
		return clash(text)
	case line.Level != nil:
		out.Level, out.Bare, out.Tide = *line.Level, line.Bare, TideBelow
		if line.Above {
			out.Tide = TideAbove
		}
	case line.Turn == NextLow:
		out.Tide = TideLow
	case line.Turn == NextHigh:
		out.Tide = TideHigh
	}
	var rest []string
	words := strings.Fields(line.Rest)
	for i := 0; i < len(words); i++ {
		switch w := strings.ToLower(strings.Trim(words[i], ",;!?")); w {
		case "making", "rising", "flood", "incoming", "subiendo":
			if !set(TideMaking) {
				return clash(words[i])
			}
		case "ebbing", "falling", "ebb", "outgoing", "bajando":
			if !set(TideEbbing) {
				return clash(words[i])
			}
		case "night", "nights":
			out.Nights = true
		case "around", "about", "for", "least", "too", "and", "with", "days", "any":
		default:
			// "3h", "2 hours", "90 min": never a bare number, which could be a ledge's
			text, used := words[i], 0
			if i+1 < len(words) {
				if d, err := Span(words[i] + " " + words[i+1]); err == nil && d >= time.Minute && !bareNumber(words[i+1]) {
					text, used = words[i]+" "+words[i+1], 1
				}
			}
			d, err := Span(text)
			if err != nil || bareNumber(text) {
				rest = append(rest, words[i])
				continue
			}
			if out.Least != 0 {
				return clash(text)
			}
			out.Least, i = d, i+used
		}
	}
	out.Rest = strings.Join(rest, " ")
	return out, nil
}

func bareNumber(s string) bool { return strings.Trim(s, "+0123456789") == "" }
