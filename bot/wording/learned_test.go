package wording

import "ledgehand/conditions/ledge"

func init() { areas["learned"] = learnedSamples }

func learnedSamples(w Words, c cast) []sample {
	some := ledge.Lesson{Watches: 1, Wet: 0, Factor: 0.94, Low: 0.6, High: 1.5}
	whole := ledge.Lesson{Watches: 6, Wet: 2, Factor: 1.26, Low: 0.98, High: 1.62, Calibrated: true}
	two := whole
	two.Swells = []ledge.SwellLesson{
		{From: 270, Lesson: ledge.Lesson{Watches: 5, Factor: 1.31, Calibrated: true}}, {From: 180, Lesson: ledge.Lesson{Watches: 5, Factor: 0.9, Calibrated: true}},
		{From: 315, Lesson: ledge.Lesson{Watches: 5, Factor: 0.5}},
	}
	one := whole
	one.Swells = two.Swells[:1]
	odd := whole
	odd.Calibrated, odd.Contradicted = false, true
	return []sample{
		{"nothing learned", w.Learned(ledge.Lesson{})},
		{"one watch", w.Learned(some)},
		{"calibrated", w.Learned(whole)},
		{"calibrated, two swells", w.Learned(two)},
		{"calibrated, one swell", w.Learned(one)},
		{"contradicted", w.Learned(odd)},
	}
}
