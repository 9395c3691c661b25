package picture

import (
	"image"
	"math"
	"sort"
	"time"
)

// longestStep between two points of the tide curve; over a longer one the water is not known.
const longestStep = 31 * time.Minute

// tideAt is the still water at an instant, between two points of the curve.
func (f *frame) tideAt(t time.Time) (height float64, known bool) {
	c := f.TideCurve
	i := sort.Search(len(c), func(i int) bool { return !c[i].At.Before(t) })
	switch {
	case i < len(c) && c[i].At.Equal(t):
		return c[i].Height, true
	case i == 0 || i == len(c):
		return 0, false
	}
	p, q := c[i-1], c[i]
	gap := q.At.Sub(p.At)
	if gap > longestStep {
		return 0, false
	}
	part := float64(t.Sub(p.At)) / float64(gap)
	return p.Height + part*(q.Height-p.Height), true
}

// axis is the upright scale of a plot, in SI.
type axis struct {
	lo, hi float64
	r      image.Rectangle
}

func (a axis) y(v float64) float64 {
	return float64(a.r.Max.Y) - (v-a.lo)/(a.hi-a.lo)*float64(a.r.Dy())
}

func (a axis) py(v float64) int { return int(math.Round(a.y(v))) }

// waterAxis leaves room for labels above what is highest and below what is lowest. Without anything
// known it is not a scale.
func (f *frame) waterAxis() (a axis, known bool) {
	lo, hi := math.Inf(1), math.Inf(-1)
	take := func(v float64) {
		if !math.IsNaN(v) {
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	take(f.Lip)
	if f.Gate != nil {
		take(*f.Gate)
	}
	for x := plotLeft; x < plotRight; x++ {
		if h, ok := f.tideAt(f.at(x)); ok {
			take(h)
		}
	}
	known = lo <= hi
	if !known {
		lo, hi = 0, 1
	}
	span := max(hi-lo, 1)
	return axis{lo - 0.26*span, hi + 0.28*span, f.plots[0]}, known
}

// scaleMarks writes the round values of an axis into the gutter and draws their lines.
func (b *brush) scaleMarks(a axis, s Scale, n int) {
	for _, v := range s.steps(a.lo, a.hi, n) {
		y := a.py(v / s.Factor)
		if y < a.r.Min.Y+10 || y > a.r.Max.Y-2 {
			continue
		}
		b.rect(image.Rect(a.r.Min.X, y, a.r.Max.X, y+2), grid)
		t := tick(v)
		b.write(plotLeft-10-b.width(t, hourText), y+capHeight(hourText)/2, t, hourText, ink)
	}
}

// water draws the still water under the ledge. The white between the two is how far the ledge stands clear.
func (b *brush) water(f *frame) {
	a, known := f.waterAxis()
	r := a.r
	b.darken(f, r)
	if known {
		b.scaleMarks(a, f.Units.Height, 4)
	}

	lab := &labels{bounds: r, far: 2}
	var signs []image.Rectangle
	var run []dot // of the water line as far as it is known
	from := -1    // of the columns not known
	flush := func() {
		if len(run) > 1 {
			b.stroke(deep, 5, run...)
		}
		run = run[:0]
	}
	for x := r.Min.X; x <= r.Max.X; x++ {
		h, ok := f.tideAt(f.at(x))
		if x == r.Max.X {
			ok = from < 0 // close what is open
		}
		if !ok {
			if from < 0 {
				from = x
				flush()
			}
			if x < r.Max.X {
				continue
			}
		}
		if from >= 0 {
			u := image.Rect(from, r.Min.Y, x, r.Max.Y)
			b.unknown(u)
			if u.Dx() > 24 {
				signs = append(signs, u)
			}
			from = -1
		}
		if x == r.Max.X {
			break
		}
		y := a.py(h)
		b.rect(image.Rect(x, y, x+1, r.Max.Y), water)
		if h > f.Lip { // false when the lip is not known
			b.hatch(image.Rect(x, y, x+1, a.py(f.Lip)), rungs, ink)
		}
		lab.lines = append(lab.lines, image.Rect(x, y-5, x+1, y+6))
		if len(run) == 0 || x%4 == 0 {
			run = append(run, dot{float64(x), a.y(h)})
		}
	}
	flush()

	b.gate(f, a, lab)
	b.lip(f, a, lab)
	b.bounds(f, r)
	lab.lines = append(lab.lines, f.uprights(r)...)
	for _, u := range signs {
		lab.taken = append(lab.taken, b.unknownSign(f, u))
	}
	gap := b.gap(f, a, lab)
	b.extremes(f, a, lab)
	gap()
	b.waterNames(f, a, lab)
}

// lip draws the ledge as a heavy line on the sign for solid ground.
func (b *brush) lip(f *frame, a axis, lab *labels) {
	if math.IsNaN(f.Lip) {
		return
	}
	y := a.py(f.Lip)
	b.rect(image.Rect(a.r.Min.X, y-3, a.r.Max.X, y+4), ink)
	for x := a.r.Min.X + 12; x < a.r.Max.X-4; x += 22 {
		b.stroke(ink, 3, dot{float64(x), float64(y + 3)}, dot{float64(x - 9), float64(y + 13)})
	}
	lab.lines = append(lab.lines, image.Rect(a.r.Min.X, y+4, a.r.Max.X, y+14))
	lab.dear = append(lab.dear, image.Rect(a.r.Min.X, y-4, a.r.Max.X, y+4))
}

// gate draws the walk-in: broken while it is dry, solid and heavy while the water stands over it.
func (b *brush) gate(f *frame, a axis, lab *labels) {
	if f.Gate == nil {
		return
	}
	y := a.py(*f.Gate)
	b.dashes(rust, image.Pt(a.r.Min.X, y), image.Pt(a.r.Max.X, y), 4, 14, 8)
	for _, s := range f.wetWalk() {
		wet := image.Rect(s[0], y-5, s[1], y+5)
		b.rect(wet, rust)
		lab.dear = append(lab.dear, wet)
	}
	lab.lines = append(lab.lines, image.Rect(a.r.Min.X, y-5, a.r.Max.X, y+5))
}

// wetWalk are the stretches, in pixels, with the water over the walk-in.
func (f *frame) wetWalk() [][2]int {
	var out [][2]int
	from := -1
	for x := plotLeft; x <= plotRight; x++ {
		h, ok := f.tideAt(f.at(x))
		wet := ok && h > *f.Gate && x < plotRight
		if wet && from < 0 {
			from = x
		}
		if !wet && from >= 0 {
			out = append(out, [2]int{from, x})
			from = -1
		}
	}
	return out
}

// gap draws the smallest height of the lip over the water in the asked hours, and returns what writes its label: the
// line is in the way of other labels, the label can go anywhere beside it.
func (b *brush) gap(f *frame, a axis, lab *labels) func() {
	at, highest, found := 0, math.Inf(-1), false
	for x := plotLeft; x < plotRight; x++ {
		t := f.at(x)
		if !f.Window.From.IsZero() && (t.Before(f.Window.From) || t.After(f.Window.To)) {
			continue
		}
		if h, ok := f.tideAt(t); ok && h > highest {
			at, highest, found = x, h, true
		}
	}
	if !found || math.IsNaN(f.Lip) {
		return func() {}
	}
	left, right := plotLeft, plotRight
	if !f.Window.From.IsZero() { // beside the line of the asked hours, not on it
		left, right = max(left, f.px(f.Window.From)), min(right, f.px(f.Window.To))
	}
	if right-left > 40 {
		at = clamp(at, left+16, right-16)
	}
	lip, sea := a.y(f.Lip)+4, a.y(highest)-3
	if f.Lip <= highest {
		return func() {
			b.plate(lab, plateText, ink, around(at, a.py(highest), 10, true), f.Labels.UnderWater)
		}
	}
	x := float64(at)
	if sea-lip > 26 {
		b.stroke(ink, 4, dot{x, lip + 8}, dot{x, sea - 8})
		for _, end := range []struct{ y, dir float64 }{{lip, 1}, {sea, -1}} {
			b.fill(ink, []dot{{x, end.y}, {x - 9, end.y + 15*end.dir}, {x + 9, end.y + 15*end.dir}})
		}
		lab.taken = append(lab.taken, image.Rect(at-10, int(lip), at+10, int(sea)))
	}
	return func() {
		b.plate(lab, plateText, ink, func(size image.Point) []image.Point {
			y := int(lip+sea)/2 - size.Y/2
			var out []image.Point
			for _, dy := range []int{0, -20, 20, -40, 40} {
				out = append(out, image.Pt(at+14, y+dy), image.Pt(at-14-size.X, y+dy))
			}
			return out
		}, f.Labels.Gap+" "+f.Units.Height.full(f.Lip-highest))
	}
}

// mostNamed highs and lows have room for the words.
const mostNamed = 5

// extremes marks the highs and lows with a wedge that points up or down, their time and height.
func (b *brush) extremes(f *frame, a axis, lab *labels) {
	var shown []Extreme
	for _, e := range f.Extremes {
		if !e.At.Before(f.start) && !e.At.After(f.end) {
			shown = append(shown, e)
		}
	}
	for _, e := range shown {
		x, y := f.x(e.At), a.y(e.Height)
		dir := -1.0
		if !e.High {
			dir = 1
		}
		b.fill(ink, []dot{{x, y + 10*dir}, {x - 11, y - 8*dir}, {x + 11, y - 8*dir}})
		lab.taken = append(lab.taken, image.Rect(int(x)-10, int(y)-9, int(x)+10, int(y)+9))
	}
	for _, e := range shown {
		word := f.Labels.Low
		if e.High {
			word = f.Labels.High
		}
		st := style{25, true}
		text := []string{word + " " + f.clock(e.At), f.Units.Height.full(e.Height)}
		if len(shown) > mostNamed { // the wedge says which it is
			text = []string{f.clock(e.At) + " " + text[1]}
			st.size = smallest
		}
		b.plate(lab, st, ink, around(f.px(e.At), a.py(e.Height), 13, e.High), text...)
	}
}

// waterNames writes what the level lines are.
func (b *brush) waterNames(f *frame, a axis, lab *labels) {
	if math.IsNaN(f.Lip) {
		b.plate(lab, plateText, ink, along(a.r.Min.X, a.r.Max.X, a.r.Min.Y, 0, 4), f.Labels.Lip+" ?")
	} else {
		b.plate(lab, plateText, ink, along(a.r.Min.X, a.r.Max.X, a.py(f.Lip), 5, 16), f.Labels.Lip+" "+f.Units.Height.full(f.Lip))
	}
	if f.Gate == nil {
		return
	}
	y := a.py(*f.Gate)
	b.plate(lab, plateText, rust, along(a.r.Min.X, a.r.Max.X, y, 6, 7), f.Labels.Gate+" "+f.Units.Height.full(*f.Gate))
	for _, s := range f.wetWalk() {
		if size := b.plateSize(plateText, f.Labels.GateWet); size.X+8 <= s[1]-s[0] {
			b.plate(lab, plateText, rust, along(s[0], s[1], y, 6, 7), f.Labels.GateWet)
		}
	}
}
