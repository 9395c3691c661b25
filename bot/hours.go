package bot

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/conditions"
	"ledgehand/conditions/feed"
	"ledgehand/conditions/measure"
	"ledgehand/conditions/sky"
	"ledgehand/session"
)

// The hours of the coming days that meet the crew's own limits, on one of its ledges or on several.

const (
	hoursAhead  = 7 * 24 * time.Hour
	hoursLedges = 4 // more than that nobody reads on a phone
)

// hoursAsked is what somebody wishes for.
type hoursAsked struct {
	ledges  []session.Ledge
	places  []feed.WarningPlace // of each of them
	q       conditions.WindowsQuestion
	leftOut []string // ledges that there was no room for
}

// hours is /hours [LEDGE…] [3h] [ebbing | around low | below 1.2] [nights] [DAY].
func (a *ask) hours(args string) error {
	var asked hoursAsked
	refusal := ""
	if err := a.view(func(tx *session.Tx, c session.Crew, w wording.Words) (err error) {
		if len(c.Ledges) == 0 {
			refusal = w.T("no_ledges")
			return nil
		}
		asked, err = a.hoursOf(c, w, args)
		var un *command.Unread
		var amb *command.Ambiguous
		switch {
		case errors.Is(err, conditions.ErrWindow):
			refusal, err = w.T("hours_bounds", "example", command.HoursExample), nil
		case errors.As(err, &un) || errors.As(err, &amb):
			refusal, err = w.T("hours_unread", "said", wording.Clean(args, 40), "ledges", w.Names(ledgeNames(c)), "example", command.HoursExample), nil
		}
		return err
	}); err != nil {
		return err
	}
	if refusal != "" {
		return a.tell(refusal)
	}
	if err := a.askFeedsOf(asked); err != nil {
		return err
	}
	found, err := conditions.Windows(asked.q)
	if err != nil {
		return err // its bounds were looked at before any feed was asked
	}
	return a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		text := w.Hours(found)
		if len(asked.leftOut) > 0 {
			text += "\n" + w.T("hours_left_out", "ledges", w.Names(asked.leftOut), "first", asked.leftOut[0])
		}
		a.reply(tx, text, hoursButtons(tx.Crew, c, w, found)...)
		return nil
	})
}

// hoursOf reads the line: the ledges it names come out first, for their names may hold any word.
func (a *ask) hoursOf(c session.Crew, w wording.Words, args string) (out hoursAsked, err error) {
	for {
		led, rest, ok := c.LedgeIn(args)
		if !ok {
			break
		}
		args = rest
		if !slices.ContainsFunc(out.ledges, func(l session.Ledge) bool { return l.Name == led.Name }) {
			out.ledges = append(out.ledges, led)
		}
	}
	if len(out.ledges) == 0 {
		out.ledges = slices.Clone(c.Ledges)
	}
	for _, l := range out.ledges[min(hoursLedges, len(out.ledges)):] {
		out.leftOut = append(out.leftOut, l.Name)
	}
	out.ledges = out.ledges[:min(hoursLedges, len(out.ledges))]
	line, err := command.Hours(args)
	if err != nil {
		return out, err
	}
	now := a.cause.Now
	out.q = conditions.WindowsQuestion{Now: now, From: now, To: now.Add(hoursAhead), Least: line.Least, Nights: line.Nights, Tide: tideWish(w, line)}
	for i, l := range out.ledges {
		card, err := cardOf(l)
		if err != nil {
			return out, err
		}
		out.places = append(out.places, warningPlace(c, card))
		z := zone(card.Zone)
		if i == 0 && strings.TrimSpace(line.Rest) != "" {
			// A day is one on the first ledge's clocks; a crew's ledges hardly ever have two.
			date, left, err := command.Day(line.Rest, now, z, order(c))
			if err == nil && strings.TrimSpace(left) != "" {
				err = &command.Unread{Said: left, Why: command.WhyToken, Example: command.HoursExample}
			}
			if err != nil {
				return out, err
			}
			if out.q.From, out.q.To, err = sky.DateIn(date, time.UTC).Bounds(z); err != nil {
				return out, err
			}
		}
		out.q.Ledges = append(out.q.Ledges, conditions.Question{Card: card, Now: now, Zone: z, Learned: observations(l)})
	}
	// Before any feed is asked: without ledges the search only looks at its own bounds.
	bounds := out.q
	bounds.Ledges = nil
	_, err = conditions.Windows(bounds)
	return out, err
}

func tideWish(w wording.Words, l command.HoursLine) conditions.TideWish {
	kind := map[command.TideWord]conditions.TideKind{
		command.TideMaking: conditions.MakingTide, command.TideEbbing: conditions.EbbingTide,
		command.TideLow: conditions.TideAroundLow, command.TideHigh: conditions.TideAroundHigh,
		command.TideBelow: conditions.TideBelowLevel, command.TideAbove: conditions.TideAboveLevel,
	}[l.Tide]
	level := l.Level
	if l.Bare { // a bare number is in the crew's own units
		level = measure.Metres(w.Metres(float64(level)))
	}
	return conditions.TideWish{Kind: kind, Level: level}
}

// askFeedsOf asks for all ledges at once; ledges close by share one answer of the feeds.
func (a *ask) askFeedsOf(asked hoursAsked) error {
	ctx, cancel := context.WithTimeout(a.ctx, patience)
	defer cancel()
	a.typing(ctx)
	failed := make([]error, len(asked.q.Ledges))
	var all sync.WaitGroup
	for i := range asked.q.Ledges {
		all.Go(func() { failed[i] = a.askFeeds(ctx, &asked.q.Ledges[i], asked.places[i]) })
	}
	all.Wait()
	return errors.Join(failed...)
}

// hoursButtons lead from the first hours found on each ledge to the whole answer about them.
func hoursButtons(crew session.CrewID, c session.Crew, w wording.Words, found conditions.WindowsAnswer) [][]chat.Button {
	var out [][]chat.Button
	for _, l := range found.Ledges {
		i := slices.IndexFunc(c.Ledges, func(x session.Ledge) bool { return x.Name == l.Ledge })
		if i < 0 || len(l.Windows) == 0 {
			continue
		}
		x := l.Windows[0]
		at := w
		at.Zone = l.Zone
		label := l.Ledge + " " + at.Day(x.From) + " " + at.Clock(x.From)
		out = append(out, []chat.Button{button(label, actConditions, ref(crew, ""), packWindow(i, x.From, x.To))})
	}
	return out
}
