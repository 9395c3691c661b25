package tide

import (
	"math"

	"ledgehand/conditions/measure"
)

// Regime says how many high waters a day a place has.
type Regime string

const (
	Semidiurnal Regime = "semidiurnal"       // two alike a day
	MixedTwo    Regime = "mixed, mostly two" // two unlike a day, at times one
	MixedOne    Regime = "mixed, mostly one" // at times two
	Diurnal     Regime = "diurnal"           // one a day; near the equatorial moon the tide all but stops
	Tideless    Regime = "none"              // no significant tide
)

// Character is the kind of tide a place has, from its constants.
type Character struct {
	Regime Regime
	Form   float64 // (K1 + O1)/(M2 + S2); +Inf where there is no M2 and S2
	// Double says that shallow water shapes the tide so much that a high or low water can come in two parts, or stand:
	// (M4 + MS4)/M2 above a quarter.
	Double bool
	// Great and Small are the usual ranges in metres when the tide is great and when it is small: springs and neaps where
	// there are two tides a day, tropic and equatorial tides where there is one.
	Great, Small measure.Metres
}

// The form factor's limits are Courtier's, as the handbooks have them (0.25, 1.5, 3; the first and the last also in the
// notes beside the data); a quarter for the ratio of the shallow-water lines is engineering judgement.
func characterOf(cs []Constituent, scale float64) Character {
	var m2, s2, k1, o1, shallow float64
	for _, c := range cs {
		a := float64(c.Amplitude) * scale
		switch c.Name {
		case "M2":
			m2 = a
		case "S2":
			s2 = a
		case "K1":
			k1 = a
		case "O1":
			o1 = a
		case "M4", "MS4":
			shallow += a
		}
	}
	two, one := m2+s2, k1+o1
	c := Character{Form: one / two, Double: m2 > 0 && shallow/m2 > 0.25}
	switch {
	case two+one < noTide:
		c.Regime = Tideless
	case c.Form < 0.25:
		c.Regime = Semidiurnal
	case c.Form < 1.5:
		c.Regime = MixedTwo
	case c.Form <= 3:
		c.Regime = MixedOne
	default:
		c.Regime = Diurnal
	}
	if two >= one {
		c.Great, c.Small = measure.Metres(2*two), measure.Metres(2*math.Abs(m2-s2))
	} else {
		c.Great, c.Small = measure.Metres(2*one), measure.Metres(2*math.Abs(k1-o1))
	}
	return c
}

// Character is the kind of tide at the predictor's place.
func (p *Predictor) Character() Character { return p.character }
