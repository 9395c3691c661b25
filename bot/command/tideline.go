package command

import (
	"slices"
	"strings"
	"time"

	"ledgehand/conditions/measure"
)

// TideLine is a question about the tide.
type TideLine struct {
	Level *measure.Metres // a height asked about, nil if none
	Bare  bool            // it had no unit: it is in whatever the group measures heights in
	Above bool            // when the water is above it; else below
	Turn  Turn            // the next high or low water is asked for
	Rest  string          // what was about neither: a ledge or a place, and a day
}

// Turn is a high or a low water, as people say it.
type Turn string

// The turns of the tide.
const (
	NextHigh Turn = "high"
	NextLow  Turn = "low"
)

// TideExample is a whole question.
const TideExample = "Anvil below 1.2 sat"

// What people put around such a question and need not.
var tideFillers = []string{"when", "when's", "is", "it", "the", "water", "tide", "next", "at", "now", "m", "does", "go", "will", "be", "próxima", "proxima"}

// Tide reads a question such as "below 1.2 sat", "next low", "when is it under 4 ft tomorrow". Ledge names may hold such
// words ("Low Shelf"): take the names you know out first. A height that cannot be read is *Unread.
func Tide(text string) (TideLine, error) {
	var out TideLine
	if len(text) > MaxLine {
		return out, &Unread{Said: strings.ToValidUTF8(text[:20], ""), Why: WhyLong}
	}
	words := strings.Fields(text)
	var rest []string
	for i := 0; i < len(words); i++ {
		switch w := strings.ToLower(strings.Trim(words[i], ",;!?")); w {
		case "below", "under", "above", "over":
			if out.Level != nil || i+1 == len(words) {
				return TideLine{}, &Unread{Said: words[i], Why: WhyNumber, Example: TideExample}
			}
			value := slices.Clone(words[i+1:])
			value[0] = strings.ReplaceAll(strings.TrimRight(value[0], ",;"), ",", ".") // half the world writes 1,2
			h, used, why := height(value)
			if why == "" && !(h >= -20 && h <= 20) {
				why = WhyRange
			}
			if why != "" {
				return TideLine{}, &Unread{Said: words[i] + " " + words[i+1], Why: why, Example: TideExample}
			}
			out.Level, out.Above = &h, w == "above" || w == "over"
			out.Bare = used == 1 && strings.Trim(value[0], "-−+.0123456789") == ""
			i += used
		case "low", "lw", "bajamar", "high", "hw", "pleamar":
			if out.Turn != "" {
				return TideLine{}, &Unread{Said: words[i], Why: WhyClash, Example: TideExample}
			}
			if out.Turn = NextLow; strings.HasPrefix(w, "h") || w == "pleamar" {
				out.Turn = NextHigh
			}
		default:
			if !slices.Contains(tideFillers, w) {
				rest = append(rest, words[i])
			}
		}
	}
	out.Rest = strings.Join(rest, " ")
	return out, nil
}

// Day takes the day a line names, "sat", "tomorrow", "14 mar", out of it: midnight of that date in UTC, whatever the zone,
// and the rest of the line. No day is today on the clocks of the zone. More than one reading is *Ambiguous, a time of day
// or a date that is none *Unread.
func Day(text string, now time.Time, zone *time.Location, order DayOrder) (date time.Time, rest string, err error) {
	line := strings.TrimSpace(text)
	if len(line) > MaxLine {
		return time.Time{}, "", &Unread{Said: strings.ToValidUTF8(line[:20], ""), Why: WhyLong}
	}
	toks, err := tokenize(line, lex(line))
	if err != nil {
		return time.Time{}, "", err
	}
	p := plan{line: line, now: now.In(zone).Truncate(time.Minute), zone: zone, order: order}
	var words []string
	end := -1
	for _, t := range toks {
		switch {
		case t.kind == tokDay, t.kind == tokPart && t.day.kind != dayNone:
			p.days = append(p.days, t.day)
		case t.kind == tokWord, t.kind == tokTo && t.dash, t.kind == tokBack, t.kind == tokStop && t.local:
			if end == t.at && len(words) > 0 {
				words[len(words)-1] += line[t.at:t.end]
			} else {
				words = append(words, line[t.at:t.end])
			}
			end = t.end
		case t.kind == tokSep, t.kind == tokNow, t.kind == tokFor, t.kind == tokIn:
		default:
			return time.Time{}, "", &Unread{Said: line[t.at:t.end], Why: WhyToken}
		}
	}
	rest = strings.Join(words, " ")
	if len(p.days) > 2 {
		return time.Time{}, rest, &Unread{Why: WhyTwoDays}
	}
	c, why := p.dates()
	switch {
	case why != "":
		return time.Time{}, rest, &Unread{Said: line, Why: why}
	case len(c.list) != 1 || c.question != "":
		return time.Time{}, rest, &Ambiguous{Said: line, Question: AskDate}
	case c.list[0].Before(civilOf(now, zone)):
		return time.Time{}, rest, &Unread{Said: line, Why: WhyPast}
	case c.list[0].Sub(civilOf(now, zone)) > MaxAhead:
		return time.Time{}, rest, &Unread{Said: line, Why: WhyTooFar}
	}
	return c.list[0], rest, nil
}
