package picture

import (
	"errors"
	"fmt"
	"math"
	"time"
	"unicode/utf8"
)

// ErrEmpty says that there is no hour to draw.
var ErrEmpty = errors.New("no hours to draw")

// ErrTooLong says that the hours span more than MaxHours.
var ErrTooLong = errors.New("too many hours for one picture")

// maxText keeps a runaway text from making a picture no chat would take.
const maxText = 300 // runes

// check refuses what would give a picture that misleads: no words of caution, a number outside what the sea can do.
func (c Chart) check() error {
	if len(c.Hours) == 0 {
		return ErrEmpty
	}
	if c.Zone == nil {
		return errors.New("the ledge has no time zone")
	}
	l := c.Labels
	for _, w := range []struct{ name, text string }{
		{"title", c.Title}, {"verdict", c.Verdict}, {"asked", l.Asked}, {"turn back", l.TurnBack}, {"dark", l.Dark},
		{"water", l.Water}, {"lip", l.Lip}, {"gate", l.Gate}, {"gate wet", l.GateWet}, {"gap", l.Gap}, {"under water", l.UnderWater},
		{"high", l.High}, {"low", l.Low}, {"swell", l.Swell}, {"limit", l.Limit}, {"up to", l.UpTo}, {"period", l.Period},
		{"goes to", l.GoesTo}, {"chance", l.Chance}, {"violent", l.Violent}, {"wind", l.Wind}, {"gust", l.Gust}, {"wind to", l.WindTo},
		{"worst of", l.WorstOf}, {"unknown", l.Unknown}, {"clock change", l.ClockChange}, {"source", l.Source}, {"caution", l.Caution},
	} {
		if w.text == "" {
			return fmt.Errorf("the words for %q are missing", w.name)
		}
		if n := utf8.RuneCountInString(w.text); n > maxText {
			return fmt.Errorf("the words for %q have %d letters, at most %d fit", w.name, n, maxText)
		}
	}
	for _, s := range []Scale{c.Units.Height, c.Units.Speed} {
		if !(s.Factor > 0 && s.Factor < 1000) || s.Unit == "" || s.Digits < 0 || s.Digits > 2 {
			return fmt.Errorf("a unit is not usable: factor %g, %d digits, %q", s.Factor, s.Digits, s.Unit)
		}
	}
	if err := c.checkHeights(); err != nil {
		return err
	}
	return c.checkHours()
}

func (c Chart) checkHeights() error {
	if math.IsInf(c.Lip, 0) || math.Abs(c.Lip) > 100 {
		return fmt.Errorf("lip at %g m, at most 100 m can be drawn", c.Lip)
	}
	if c.Gate != nil && !(math.Abs(*c.Gate) <= 30) {
		return fmt.Errorf("walk-in gate at %g m, at most 30 m can be drawn", *c.Gate)
	}
	if c.LimitHs != nil && !(*c.LimitHs > 0 && *c.LimitHs <= 40) {
		return fmt.Errorf("limit of %g m, above 0 and at most 40 m can be drawn", *c.LimitHs)
	}
	for i, p := range c.TideCurve {
		if !(math.Abs(p.Height) <= 30) {
			return fmt.Errorf("tide of %g m at %s, at most 30 m can be drawn", p.Height, p.At.Format(time.RFC3339))
		}
		if i > 0 && !p.At.After(c.TideCurve[i-1].At) {
			return fmt.Errorf("tide at %s is not after the one before it", p.At.Format(time.RFC3339))
		}
	}
	for _, e := range c.Extremes {
		if !(math.Abs(e.Height) <= 30) {
			return fmt.Errorf("high or low of %g m at %s, at most 30 m can be drawn", e.Height, e.At.Format(time.RFC3339))
		}
	}
	return nil
}

func (c Chart) checkHours() error {
	first := c.Hours[0].At
	for i, h := range c.Hours {
		at := h.At.Format(time.RFC3339)
		if d := h.At.Sub(first); d%time.Hour != 0 || i > 0 && !h.At.After(c.Hours[i-1].At) {
			return fmt.Errorf("hour %s is not a whole number of hours after the ones before it", at)
		}
		if h.Known {
			if !(h.Hs >= 0 && h.Hs <= 40) {
				return fmt.Errorf("sea of %g m at %s, 0 to 40 m can be drawn", h.Hs, at)
			}
			if h.HsP90 > 80 || h.PeriodS > 60 || h.PeriodS < 0 || math.IsInf(h.SwellFromDeg, 0) {
				return fmt.Errorf("sea up to %g m, %g s, from %g degrees at %s cannot be drawn", h.HsP90, h.PeriodS, h.SwellFromDeg, at)
			}
			if h.P < 0 || h.P > 1 {
				return fmt.Errorf("chance of %g at %s, 0 to 1 can be drawn", h.P, at)
			}
		}
		if h.WindKnown && (!(h.WindMS >= 0 && h.WindMS <= 120) || h.GustMS < 0 || h.GustMS > 150 || math.IsInf(h.WindFromDeg, 0)) {
			return fmt.Errorf("wind of %g m/s, gust %g, from %g degrees at %s cannot be drawn", h.WindMS, h.GustMS, h.WindFromDeg, at)
		}
	}
	if n := c.Hours[len(c.Hours)-1].At.Sub(first)/time.Hour + 1; n > MaxHours {
		return fmt.Errorf("%w: %d, at most %d", ErrTooLong, n, MaxHours)
	}
	return nil
}
