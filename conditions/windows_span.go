package conditions

import (
	"time"

	"ledgehand/conditions/tide"
)

// Stretches of time, in order and apart from each other, as lists of tide.Span.

// without is what is left of some stretches when others are taken out.
func without(have, gone []tide.Span) []tide.Span {
	var out []tide.Span
	for _, h := range have {
		from := h.From
		for _, g := range gone {
			if !g.To.After(from) {
				continue
			}
			if !g.From.Before(h.To) {
				break
			}
			if g.From.After(from) {
				out = append(out, tide.Span{From: from, To: g.From})
			}
			from = g.To
		}
		if from.Before(h.To) {
			out = append(out, tide.Span{From: from, To: h.To})
		}
	}
	return out
}

// join adds a stretch to a list that it does not begin before, and melts it with the last one if they touch.
func join(list []tide.Span, s tide.Span) []tide.Span {
	if !s.To.After(s.From) {
		return list
	}
	if n := len(list); n > 0 && !s.From.After(list[n-1].To) {
		list[n-1].To = later(list[n-1].To, s.To)
		return list
	}
	return append(list, s)
}

// widened is every stretch longer by the same time at both ends.
func widened(list []tide.Span, by time.Duration) []tide.Span {
	if by == 0 {
		return list
	}
	out := make([]tide.Span, 0, len(list))
	for _, s := range list {
		out = join(out, tide.Span{From: s.From.Add(-by), To: s.To.Add(by)})
	}
	return out
}

// common is how long two lists overlap.
func common(a, b []tide.Span) time.Duration {
	return total(a) - total(without(a, b))
}

func total(list []tide.Span) (sum time.Duration) {
	for _, s := range list {
		sum += s.To.Sub(s.From)
	}
	return sum
}

func longest(list []tide.Span) (most time.Duration) {
	for _, s := range list {
		most = max(most, s.To.Sub(s.From))
	}
	return most
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}

func sooner(a, b time.Time) time.Time {
	if b.Before(a) {
		return b
	}
	return a
}
