package tide

import (
	"errors"
	"fmt"
	"math"
	"sync/atomic"
	"time"

	"ledgehand/conditions/measure"
)

// Mode says when the node factors are taken.
type Mode string

const (
	Instant Mode = "instant" // at each instant: better physics, no step at New Year
	Year    Mode = "year"    // of 2 July for the calendar year, as NOAA and others tabulate
)

// A Constituent is one harmonic constant of a place.
type Constituent struct {
	Name      string
	Amplitude measure.Metres
	Phase     float64 // Greenwich phase lag, degrees, arguments in UTC
}

// An Option changes how a predictor is made.
type Option func(*settings)

type settings struct {
	mode    Mode
	without []string
	level   *measure.Metres
	datum   string
	prune   measure.Metres
}

// WithMode chooses when the node factors are taken; Instant is the default.
func WithMode(m Mode) Option { return func(s *settings) { s.mode = m } }

// Without leaves constituents out by name. A name that a station does not have changes nothing.
func Without(names ...string) Option {
	return func(s *settings) { s.without = append(s.without, names...) }
}

// WithMeanLevel sets mean sea level above the datum the caller wants (Z0) in place of the station's own.
// The predictor then names no datum. A subordinate station takes none: its heights come from its reference.
func WithMeanLevel(z0 measure.Metres) Option { return func(s *settings) { s.level = &z0 } }

// WithDatum gives heights above a datum other than the station's chart datum, if the station tells how high that lies;
// else Open fails with a NoDatumError, as it does with a mean level given besides.
func WithDatum(name string) Option { return func(s *settings) { s.datum = name } }

// WithPrune sets the rise under which a small wave is no high and low water: a pair is dropped only where both
// its rises stay under it. The default is 1 cm; 0 keeps all.
func WithPrune(rise measure.Metres) Option { return func(s *settings) { s.prune = rise } }

// defaultPrune is common practice, no source; one agency is said to use 3 cm.
const defaultPrune measure.Metres = 0.01

// A Predictor foretells the tide of one place. It may be used from several goroutines.
type Predictor struct {
	station   Station
	datum     string
	warning   Warning
	character Character
	curve     curve
}

// A curve is the water level of a place over Unix time in seconds.
type curve interface {
	height(at float64) float64
	rate(at float64) float64 // metres an hour
	beat(at float64) (lead, rate float64, ok bool)
	heights(dst []measure.Metres, from time.Time, step time.Duration)
	extremes(from, to float64) []turn // pruned, found without regard to where the window is
	turns(from, to float64) []turn    // every turn: between two the curve only rises or only falls
}

// ErrSubordinateLevel says that a mean level was given for a station that has none of its own.
var ErrSubordinateLevel = errors.New("a subordinate station takes no mean level of its own")

// New makes a predictor from constants. z0 is mean sea level above the datum wanted, in metres.
func New(z0 measure.Metres, cs []Constituent, opts ...Option) (*Predictor, error) {
	set, err := settle(opts)
	if err != nil {
		return nil, err
	}
	if set.level != nil {
		z0 = *set.level
	}
	if set.datum != "" {
		return nil, fmt.Errorf("datum %q: constants alone tell no datum", set.datum)
	}
	h, err := newHarmonic(z0, cs, set)
	if err != nil {
		return nil, err
	}
	return &Predictor{curve: h, warning: warningOf(cs, 1), character: characterOf(cs, 1)}, nil
}

// Open makes a predictor for a station of the catalogue.
func Open(id string, opts ...Option) (*Predictor, error) {
	set, err := settle(opts)
	if err != nil {
		return nil, err
	}
	st, err := Find(id)
	if err != nil {
		return nil, err
	}
	p := &Predictor{station: st, datum: st.Datum, warning: st.Warning}
	ref := st
	if st.Subordinate {
		if set.level != nil {
			return nil, fmt.Errorf("open tide station %q: %w", id, ErrSubordinateLevel)
		}
		if ref, err = Find(st.Reference); err != nil {
			return nil, fmt.Errorf("find the reference of %q: %w", id, err)
		}
	}
	z0 := ref.MeanLevel
	if set.level != nil {
		z0, p.datum = *set.level, ""
	}
	if set.datum != "" {
		l, err := levelNamed(id, set.datum)
		if err != nil {
			return nil, fmt.Errorf("open tide station %q: %w", id, err)
		}
		z0, p.datum = z0-l.Height, l.Datum
	}
	cs := Constituents(ref.ID)
	h, err := newHarmonic(z0, cs, set)
	if err != nil {
		return nil, fmt.Errorf("open tide station %q: %w", id, err)
	}
	p.curve, p.character = h, characterOf(cs, st.Offsets.scale())
	if st.Subordinate {
		p.curve = &secondary{ref: h, off: st.Offsets}
	}
	return p, nil
}

func settle(opts []Option) (settings, error) {
	s := settings{mode: Instant, prune: defaultPrune}
	for _, o := range opts {
		o(&s)
	}
	switch {
	case s.mode != Instant && s.mode != Year:
		return s, fmt.Errorf("node mode %q: neither %q nor %q", s.mode, Instant, Year)
	case s.level != nil && s.datum != "":
		return s, errors.New("a mean level and a datum: give one of them")
	case s.level != nil && !finite(float64(*s.level)):
		return s, fmt.Errorf("mean level %v: not a number of metres", *s.level)
	case !(s.prune >= 0):
		return s, fmt.Errorf("rise to prune %v: below 0 m", s.prune)
	}
	return s, nil
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Station is the station the predictor was opened for; zero when it was made from constants.
func (p *Predictor) Station() Station { return p.station }

// Datum names what heights are above, "" when the caller chose the mean level.
func (p *Predictor) Datum() string { return p.datum }

// Warning says why the prediction may mislead; "" when nothing is known against it.
func (p *Predictor) Warning() Warning { return p.warning }

// Height is the predicted level above the datum at t. NaN where a subordinate station's reference has no highs and lows.
func (p *Predictor) Height(t time.Time) measure.Metres {
	return measure.Metres(p.curve.height(unix(t)))
}

// Heights gives the level at from, from+step, ... up to and including to; nil when step is not positive or to lies before from.
func (p *Predictor) Heights(from, to time.Time, step time.Duration) []measure.Metres {
	if step <= 0 || to.Before(from) {
		return nil
	}
	dst := make([]measure.Metres, int(to.Sub(from)/step)+1)
	p.curve.heights(dst, from, step)
	return dst
}

// HeightsInto fills dst with the level at from, from+step, ...: Heights without allocating.
func (p *Predictor) HeightsInto(dst []measure.Metres, from time.Time, step time.Duration) {
	p.curve.heights(dst, from, step)
}

func unix(t time.Time) float64 { return float64(t.Unix()) + float64(t.Nanosecond())/1e9 }

// clock turns Unix seconds into an instant, to the nearest second: no prediction is better than that.
func clock(at float64) time.Time { return time.Unix(int64(math.Round(at)), 0).UTC() }

// term is a constituent made ready.
type term struct {
	line *line
	amp  float64 // metres
	lag  float64 // degrees
}

// harmonic is the curve of a place with constants of its own.
type harmonic struct {
	z0    float64
	mode  Mode
	prune float64
	terms []term
	last  atomic.Pointer[wheel] // of the arc asked for last; neighbours in time are asked together
}

func newHarmonic(z0 measure.Metres, cs []Constituent, set settings) (*harmonic, error) {
	if !finite(float64(z0)) {
		return nil, fmt.Errorf("mean level %v: not a number of metres", z0)
	}
	out := map[*line]bool{}
	for _, name := range set.without {
		l, err := lineNamed(name)
		if err != nil {
			return nil, fmt.Errorf("leave out: %w", err)
		}
		out[l] = true
	}
	h := &harmonic{z0: float64(z0), mode: set.mode, prune: float64(set.prune), terms: make([]term, 0, len(cs))}
	for _, c := range cs {
		l, err := lineNamed(c.Name)
		switch {
		case err != nil:
			return nil, err
		case !finite(float64(c.Amplitude)) || c.Amplitude < 0:
			return nil, fmt.Errorf("amplitude of %q %v: not a length in metres", c.Name, c.Amplitude)
		case !finite(c.Phase):
			return nil, fmt.Errorf("phase of %q %v: not a number of degrees", c.Name, c.Phase)
		}
		if out[l] || c.Amplitude == 0 {
			continue
		}
		h.terms = append(h.terms, term{l, float64(c.Amplitude), math.Mod(c.Phase, 360)})
	}
	return h, nil
}

// arcAt is the arc an instant lies in.
func (h *harmonic) arcAt(second int64) *arc {
	if h.mode == Year {
		return yearArc(time.Unix(second, 0).UTC().Year())
	}
	return instantArc(second)
}

// wheelAt is the wheel for an instant, from the last one if that will do.
func (h *harmonic) wheelAt(second int64) *wheel {
	if w := h.last.Load(); w != nil && second >= w.start && second < w.end {
		return w
	}
	w := newWheel(len(h.terms))
	w.set(h.arcAt(second), h.terms)
	h.last.Store(w)
	return w
}

func (h *harmonic) height(at float64) float64 {
	w := h.wheelAt(int64(math.Floor(at)))
	return h.z0 + w.height((at-float64(w.start))/3600)
}

func (h *harmonic) heights(dst []measure.Metres, from time.Time, step time.Duration) {
	w := newWheel(len(h.terms))
	var buf [restart]float64
	dt := step.Hours()
	for len(dst) > 0 {
		if s := from.Unix(); s < w.start || s >= w.end || w.end == 0 {
			w.set(h.arcAt(s), h.terms)
		}
		left := time.Unix(w.end, 0).Sub(from) // samples before the end of the arc
		n := min(len(dst), restart, int((left-1)/step)+1)
		part := buf[:n]
		for i := range part {
			part[i] = h.z0
		}
		w.series(part, float64(from.Sub(time.Unix(w.start, 0)))/float64(time.Hour), dt, 0)
		for i, v := range part {
			dst[i] = measure.Metres(v)
		}
		dst, from = dst[n:], from.Add(time.Duration(n)*step)
	}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
