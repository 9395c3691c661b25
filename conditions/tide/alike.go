package tide

import (
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// Difference is how the tide of one station differs from that of another, by their four largest lines alone.
type Difference struct {
	Later time.Duration  // how much later the second has high water, within half a tide; negative when earlier
	Ratio float64        // spring range of the second over that of the first; +Inf when the first has none
	Apart measure.Metres // the most the two curves can be apart, mean levels aside
}

// When two tides are unlike: engineering judgement, no source. At half tide 20 minutes move the water by a twelfth of the
// range, and less would drown in the error of the estimate. The floor in metres lets vanishing tides differ as they like.
const (
	unlikeTime  = 20 * time.Minute
	unlikeRatio = 1.25
	unlikeApart = 0.05 // m
)

// Unlike says whether the one station's table would mislead at the other: high water more than 20 minutes off or spring
// range more than a quarter, with curves more than 0.05 m apart.
func (d Difference) Unlike() bool {
	return d.Apart > unlikeApart && (d.Later.Abs() > unlikeTime || max(d.Ratio, 1/d.Ratio) > unlikeRatio)
}

// Differ tells how the tide at b differs from that at a, without predicting either: time from the phase lag of the
// leading lines (M2, or K1 and O1 where (K1+O1)/(M2+S2) of the two together is above 1.5), range from 2(M2+S2) or
// 2(K1+O1). A subordinate station counts as its reference moved by the mean of its offsets for high and low water and
// scaled by what they make of its spring range. Against a month of predicted waters of neighbours the time comes out
// within 4 minutes at half of them and 22 at nine of ten where the half-daily wave leads, within 16 and 44 where the daily
// one does; the range within 2 and 11 %, and 4 and 17 %.
func Differ(a, b Station) Difference { return rhythmOf(a).against(rhythmOf(b)) }

// The lines a rhythm holds, and what they run in degrees an hour (the standard list of the International Hydrographic Organization).
const (
	beatM2 = iota
	beatS2
	beatK1
	beatO1
	beats
)

var (
	beatName  = [beats]string{"M2", "S2", "K1", "O1"}
	beatSpeed = [beats]float64{28.9841042, 30, 15.0410686, 13.9430356}
)

// diurnalFrom is the form factor (K1+O1)/(M2+S2) from which the daily wave leads, by the usual classes of tides.
const diurnalFrom = 1.5

// rhythm is a tide by its four largest lines: amplitudes in metres, Greenwich phase lags in degrees.
type rhythm struct{ amp, lag [beats]float64 }

func rhythmOf(s Station) rhythm {
	if !s.Subordinate {
		return rhythmFrom(Constituents(s.ID))
	}
	ref, err := Find(s.Reference)
	if err != nil {
		return rhythm{} // the catalogue is tested to hold every reference
	}
	r := rhythmFrom(Constituents(ref.ID))
	// The offsets work on heights above the reference's datum, so its mean level takes part.
	scale, half, o := 1.0, r.half()+r.daily(), s.Offsets
	if z := float64(ref.MeanLevel); half > 0 {
		if o.Ratio {
			scale = (o.High*(z+half) - o.Low*(z-half)) / (2 * half)
		} else {
			scale = 1 + (o.High-o.Low)/(2*half)
		}
	}
	later := (o.HighLater + o.LowLater).Hours() / 2
	for k := range r.amp {
		r.amp[k] *= math.Max(scale, 0)
		r.lag[k] += beatSpeed[k] * later
	}
	return r
}

func rhythmFrom(cs []Constituent) rhythm {
	var r rhythm
	for _, c := range cs {
		for k, name := range beatName {
			if c.Name == name {
				r.amp[k], r.lag[k] = float64(c.Amplitude), c.Phase
			}
		}
	}
	return r
}

// half and daily are half the spring range of the half-daily and half the tropic range of the daily wave, metres.
func (r rhythm) half() float64  { return r.amp[beatM2] + r.amp[beatS2] }
func (r rhythm) daily() float64 { return r.amp[beatK1] + r.amp[beatO1] }

func (r rhythm) against(o rhythm) Difference {
	d := Difference{Ratio: 1}
	lag := func(k int) float64 { return measure.Wrap180(o.lag[k]-r.lag[k]) / beatSpeed[k] } // hours
	var here, there, hours float64
	if r.daily()+o.daily() > diurnalFrom*(r.half()+o.half()) {
		here, there = r.daily(), o.daily()
		k1, o1 := r.amp[beatK1]*o.amp[beatK1], r.amp[beatO1]*o.amp[beatO1]
		if k1+o1 > 0 {
			hours = (k1*lag(beatK1) + o1*lag(beatO1)) / (k1 + o1)
		}
	} else {
		here, there = r.half(), o.half()
		hours = lag(beatM2)
	}
	d.Later = time.Duration(hours * float64(time.Hour)).Round(time.Minute)
	if here > 0 || there > 0 {
		d.Ratio = there / here
	}
	for k := range r.amp {
		// two cosines of one speed differ by a cosine: its amplitude by the law of cosines
		turn := math.Cos((o.lag[k] - r.lag[k]) * math.Pi / 180)
		d.Apart += measure.Metres(math.Sqrt(math.Max(0, r.amp[k]*r.amp[k]+o.amp[k]*o.amp[k]-2*r.amp[k]*o.amp[k]*turn)))
	}
	return d
}
