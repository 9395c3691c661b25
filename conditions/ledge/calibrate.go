package ledge

import (
	"fmt"
	"math"
	"time"

	"ledgehand/conditions/measure"
)

// CalibrateInput is one watch in one steady sea.
type CalibrateInput struct {
	Washes     int             `json:"k"`
	Minutes    float64         `json:"minutes"`
	Hs         measure.Metres  `json:"hs_m"`
	Tz         measure.Seconds `json:"tz_s"`
	Rc         measure.Metres  `json:"rc_m"`
	PriorKappa float64         `json:"prior_kappa,omitempty"` // VerticalKappa if left out
	PriorSigma float64         `json:"prior_sigma,omitempty"` // DefaultSigmaKappa if left out
	Phi        float64         `json:"phi,omitempty"`         // 1 if left out
}

// CalibrateResult is what the watch says of kappa.
type CalibrateResult struct {
	Waves   float64  `json:"n_waves"`
	Hat     *float64 `json:"kappa_hat,omitempty"`     // most likely by the count alone; absent when none or every wave washed
	Upper95 *float64 `json:"kappa_upper95,omitempty"` // by a dry watch alone; absent when it was too short to say
	Posterior
}

// Calibrate learns kappa from one watch.
func Calibrate(in CalibrateInput) (CalibrateResult, error) {
	if in.PriorKappa == 0 {
		in.PriorKappa = VerticalKappa
	}
	if in.PriorSigma == 0 {
		in.PriorSigma = DefaultSigmaKappa
	}
	span := Span{Minutes: in.Minutes, Hs: in.Hs, Tz: in.Tz, Rc: in.Rc}
	seen := []Observation{{Washes: in.Washes, Spans: []Span{span}, Phi: in.Phi}}
	post, err := Learn(Prior{Kappa: in.PriorKappa, Sigma: in.PriorSigma}, seen, time.Time{})
	if err != nil {
		return CalibrateResult{}, fmt.Errorf("learning from the watch: %w", err)
	}
	out := CalibrateResult{Waves: span.waves(), Posterior: post}
	// Solving k = N exp(-2 (Rc/(kappa Hs))²); a dry watch stands for three events at most.
	solve := func(events float64) *float64 {
		if !(events < out.Waves) {
			return nil
		}
		return new(float64(in.Rc/in.Hs) * math.Sqrt(2/math.Log(out.Waves/events)))
	}
	if in.Washes == 0 {
		out.Upper95 = solve(3)
	} else {
		out.Hat = solve(float64(in.Washes))
	}
	return out, nil
}
