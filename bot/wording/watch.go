package wording

import (
	"fmt"
	"strings"
	"time"

	"ledgehand/conditions"
	"ledgehand/conditions/tide"
	"ledgehand/session/watch"
)

// Look is what a watch can and cannot show, worked out elsewhere.
type Look struct {
	Waves       int           // expected to have passed in the time watched, 0 unknown
	UpperPerH   float64       // washes an hour that the count does not rule out (95 %)
	SetsMinutes float64       // mean time between big sets, 0 unknown
	LongPeriod  bool          // sets come rarer than it was watched: it may all have been a lull
	BiggestHere float64       // the likeliest biggest wave of as long as it was watched, in significant heights, 0 unknown
	BiggestStay float64       // the same of the stay
	Stay        time.Duration // how long they mean to stay, as far as known
	TideMaking  bool
	Again       time.Time     // when to watch again
	Late        time.Duration // how long after its end this is said
}

// WatchStarted is the watch's panel while it runs. sets is the mean time between big sets, 0 unknown; longer how long to watch
// to meet one, 0 when it is long enough.
func (w Words) WatchStarted(x watch.Watch, sets, longer time.Duration) string {
	w = w.in(x.Zone)
	long := ""
	if longer > 0 {
		long = w.T("watch_too_short_for_sets", "min", minutes(sets), "to", minutes(longer))
	}
	return lines(
		w.T("watch_head", "ledge", x.Ledge, "from", w.Clock(x.StartedAt), "to", w.Clock(x.StartedAt.Add(x.Length)), "min", minutes(x.Length)),
		long,
		w.T("watch_do"),
		w.T("watch_count", "n", len(x.Waves)))
}

func minutes(d time.Duration) int { return int(d.Round(time.Minute).Minutes()) }

// WatchPrompt is said at a third and two thirds.
func (w Words) WatchPrompt(x watch.Watch, n int) string {
	left := int((x.Length*time.Duration(3-n)/3 + 30*time.Second) / time.Minute)
	return w.T("watch_prompt", "left", left, "count", HTML(w.T("watch_count", "n", len(x.Waves))))
}

// lateAfter is from when on it is said that a result comes late.
const lateAfter = 3 * time.Minute

// WatchResult says what was seen and what it is worth. The decision stays with those who stand there.
func (w Words) WatchResult(x watch.Watch, l Look) string {
	w = w.in(x.Zone)
	min := minutes(x.Watched(x.EndedAt))
	var head string
	switch {
	case min == 0 && len(x.Waves) == 0:
		head = w.T("watch_nothing_heard")
	case len(x.Waves) == 0:
		head = w.T("watch_dry", "min", min, "waves", l.Waves)
		if l.Waves == 0 {
			head = w.T("watch_dry_unknown", "min", min)
		}
		head += " " + w.T("watch_rules_out", "rate", roundUp(l.UpperPerH))
	default:
		head = w.T("watch_wet", "n", len(x.Waves), "min", min)
		head += " " + w.T("watch_rate", "rate", roundUp(l.UpperPerH))
	}
	var blind []string
	if len(x.Deaf) > 0 {
		var spans []string
		for _, d := range x.Deaf {
			spans = append(spans, w.Span(d.From, d.To))
		}
		blind = append(blind, w.T("watch_deaf", "spans", w.list(spans)))
	}
	if l.Late >= lateAfter {
		blind = append(blind, w.T("watch_late", "end", w.Clock(x.EndedAt)))
	}
	var more []string
	if l.SetsMinutes > 0 {
		more = append(more, w.T("watch_sets", "min", int(l.SetsMinutes+0.5)))
	}
	if l.LongPeriod {
		more = append(more, w.T("watch_longer"))
	}
	if l.TideMaking {
		more = append(more, w.T("watch_making"))
	}
	if x.Stopped && x.Watched(x.EndedAt) < watch.Shortest {
		more = append([]string{w.T("watch_cut_short", "min", minutes(watch.Shortest))}, more...)
	}
	biggest := ""
	if l.BiggestHere > 0 && min > 0 {
		biggest = w.T("watch_biggest", "min", min, "few", times(l.BiggestHere), "hours", int(l.Stay.Round(time.Hour).Hours()), "many", times(l.BiggestStay))
	}
	end := w.T("watch_yours")
	if len(x.Waves) > 0 {
		end = w.T("watch_wet_do")
	}
	if !l.Again.IsZero() {
		end += " " + w.T("watch_again", "at", w.Clock(l.Again))
	}
	return lines(head, strings.Join(blind, " "), strings.Join(more, " "), biggest, end)
}

func times(x float64) string { return fmt.Sprintf("%.1f", x) }

func roundUp(rate float64) int { return int(rate + 0.999) }

// WatchTide says to those who are out that the water stands otherwise than at since: the end of their watch, or the beginning
// of the outing when nothing was watched.
func (w Words) WatchTide(a conditions.Again, since time.Time, watched bool) string {
	turn := ""
	switch a.Turn {
	case tide.Low:
		turn = w.T("watch_tide_low")
	case tide.High:
		turn = w.T("watch_tide_high")
	}
	rise := ""
	if a.Rise >= 0.05 { // what rounds to a decimetre
		id := "watch_tide_made"
		if !watched {
			id = "watch_tide_made_out"
		}
		rise = w.T(id, "by", w.Height(float64(a.Rise)), "at", w.Clock(since))
	}
	do := w.T("watch_tide_do")
	if !watched {
		do = w.T("watch_tide_do_first")
	}
	return strings.TrimSpace(strings.TrimSpace(turn+" "+rise) + " " + do)
}
