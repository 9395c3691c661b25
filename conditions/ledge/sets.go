package ledge

import (
	"fmt"
	"time"

	"ledgehand/conditions/measure"
	"ledgehand/conditions/wave"
)

// setLevel is the height, in Hs, from which on a run of waves is called a set here.
const setLevel = 1.5

// swellFrom is the peak period from which on a sea is taken to come in swell's longer sets: our own
// judgement, as is the level.
const swellFrom measure.Seconds = 10

// SetsEvery is the mean time from the start of one set of waves above 1.5 Hs to the next, for a
// zero-crossing period and the peak period it belongs to. A watch much shorter than this can
// fall wholly into a lull. Kimura's chain with remembered correlations of 0.25 for wind sea and
// 0.6 for swell: 130 waves for swell, some 28 minutes at a peak period of 16 s.
func SetsEvery(tz, peak measure.Seconds) (time.Duration, error) {
	if !(tz > 0 && tz <= longest) || !(peak > 0 && peak <= longest) {
		return 0, fmt.Errorf("wave periods %v s and %v s: outside 0 to %v", tz, peak, longest)
	}
	r := wave.WindSeaCorrelation
	if peak >= swellFrom {
		r = wave.SwellCorrelation
	}
	g, err := wave.Sets(r, setLevel)
	if err != nil {
		return 0, fmt.Errorf("interval between sets: %w", err)
	}
	return time.Duration(g.Interval * float64(tz) * float64(time.Second)), nil
}
