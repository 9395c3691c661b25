package picture

import (
	"image"
	"math"
	"strconv"
	"strings"
)

// seaKnown says whether the height of an hour can be drawn.
func (h Hour) seaKnown() bool { return h.Known && !math.IsNaN(h.Hs) }

// upTo is what the sea may well be, or NaN.
func (h Hour) upTo() float64 {
	if h.HsP90 > h.Hs {
		return h.HsP90
	}
	return math.NaN()
}

// worstSea is the highest known hour from i to j, -1 if none is known; whole says that all are.
func (f *frame) worstSea(i, j int) (worst int, whole bool) {
	worst, whole = -1, true
	for k := i; k < j; k++ {
		switch h := f.hours[k]; {
		case !h.seaKnown():
			whole = false
		case worst < 0 || h.Hs > f.hours[worst].Hs:
			worst = k
		}
	}
	return worst, whole
}

func (f *frame) swellAxis() axis {
	hi := 0.5
	if f.LimitHs != nil {
		hi = max(hi, *f.LimitHs)
	}
	for _, h := range f.hours {
		if h.seaKnown() {
			hi = max(hi, h.Hs)
			if u := h.upTo(); !math.IsNaN(u) {
				hi = max(hi, u)
			}
		}
	}
	return axis{0, hi * 1.28, f.plots[1]}
}

// swell draws the height of the sea, one step an hour as it was forecast, with a band up to what it may well be.
func (b *brush) swell(f *frame) {
	a := f.swellAxis()
	r := a.r
	b.darken(f, r)
	b.scaleMarks(a, f.Units.Height, 3)
	lab := &labels{bounds: r, far: 15}

	var tops [][]dot // the forecast line, broken where it is not known
	open := false
	for i, h := range f.hours {
		x0, x1 := f.column(i, i+1)
		if !h.seaKnown() {
			open = false
			continue
		}
		y := a.py(h.Hs)
		if u := h.upTo(); !math.IsNaN(u) {
			b.rect(image.Rect(x0, a.py(u), x1, y), mist)
			b.rect(image.Rect(x0, a.py(u)-1, x1, a.py(u)+2), water)
			lab.lines = append(lab.lines, image.Rect(x0, a.py(u)-2, x1, a.py(u)+3))
		}
		if !open {
			tops = append(tops, nil)
			open = true
		}
		t := &tops[len(tops)-1]
		*t = append(*t, dot{float64(x0), float64(y)}, dot{float64(x1), float64(y)})
		lab.lines = append(lab.lines, image.Rect(x0, y-4, x1, y+5))
	}
	if f.LimitHs != nil {
		y := a.py(*f.LimitHs)
		b.dashes(rust, image.Pt(r.Min.X, y), image.Pt(r.Max.X, y), 5, 22, 10)
		lab.lines = append(lab.lines, image.Rect(r.Min.X, y-4, r.Max.X, y+5))
	}
	for _, t := range tops {
		b.stroke(ink, 7, t...)
	}
	signs := b.unknownRuns(f, r, func(h Hour) bool { return h.seaKnown() })
	b.bounds(f, r)
	lab.lines = append(lab.lines, f.uprights(r)...)
	for _, u := range signs {
		lab.taken = append(lab.taken, b.unknownSign(f, u))
	}
	b.swellNames(f, a, lab)

	b.rowName(f.periodY, f.Labels.Period, "s")
	b.rowName(f.goesY, f.Labels.GoesTo, "")
	f.blocks(func(i, j int) {
		x0, x1 := f.column(i, j)
		w, whole := f.worstSea(i, j)
		text := "?"
		if w >= 0 && !math.IsNaN(f.hours[w].PeriodS) {
			text = strconv.FormatFloat(math.Round(f.hours[w].PeriodS), 'f', 0, 64)
			if !whole {
				text += "?"
			}
		}
		b.cell(x0, x1, f.periodY, text)
		if w < 0 || math.IsNaN(f.hours[w].SwellFromDeg) {
			b.cell(x0, x1, f.goesY, "?")
			return
		}
		b.arrow(dot{float64(x0+x1) / 2, float64(f.goesY)}, arrowLength, f.hours[w].SwellFromDeg, true, deep)
	})
}

// swellNames writes the highest sea of the asked hours beside its step, which has a ring, and the limit.
func (b *brush) swellNames(f *frame, a axis, lab *labels) {
	worst := -1
	for i, h := range f.hours {
		if h.seaKnown() && f.inWindow(h) && (worst < 0 || h.Hs > f.hours[worst].Hs) {
			worst = i
		}
	}
	if worst >= 0 {
		h := f.hours[worst]
		text, top := f.Units.Height.full(h.Hs), a.py(h.Hs)
		if u := h.upTo(); !math.IsNaN(u) {
			text = f.Units.Height.show(h.Hs) + ", " + f.Labels.UpTo + " " + f.Units.Height.full(u)
			top = a.py(u)
		}
		x0, x1 := f.column(worst, worst+1)
		x, below := (x0+x1)/2, a.py(h.Hs)+12
		b.fill(ink, disc(dot{float64(x), a.y(h.Hs)}, 10))
		b.fill(paper, disc(dot{float64(x), a.y(h.Hs)}, 5))
		b.plate(lab, plateText, ink, func(size image.Point) []image.Point {
			var out []image.Point
			for _, dy := range []int{0, 14, 28} {
				for _, dx := range []int{0, -size.X / 4, size.X / 4, -size.X / 2, size.X / 2} {
					out = append(out, image.Pt(x-size.X/2+dx, below+dy), image.Pt(x-size.X/2+dx, top-4-size.Y-dy))
				}
			}
			return out
		}, text)
	}
	if f.LimitHs != nil {
		b.plate(lab, plateText, rust, along(a.r.Min.X, a.r.Max.X, a.py(*f.LimitHs), 7, 7),
			f.Labels.Limit+" "+f.Units.Height.full(*f.LimitHs))
	}
}

// unknownRuns hatches the hours that are not known and returns where each run of them is.
func (b *brush) unknownRuns(f *frame, r image.Rectangle, known func(Hour) bool) []image.Rectangle {
	var out []image.Rectangle
	for i := 0; i < len(f.hours); i++ {
		j := i
		for j < len(f.hours) && !known(f.hours[j]) {
			j++
		}
		if j > i {
			x0, x1 := f.column(i, j)
			u := image.Rect(x0, r.Min.Y, x1, r.Max.Y)
			b.unknown(u)
			out = append(out, u)
			i = j
		}
	}
	return out
}

// rowName writes the name of a row of numbers into the gutter. A long name is cut, its unit is not.
func (b *brush) rowName(y int, s, unit string) {
	room := plotLeft - margin - 6
	if unit != "" {
		unit = " " + unit
	}
	st := style{25, false}
	for st.size > smallest && b.width(s+unit, st) > room {
		st.size--
	}
	if last := room + 4; b.width(s+unit, st) > room && b.width(s+thin(unit), st) <= last {
		room, unit = last, thin(unit) // "viento m/s" takes the last pixels to the plot
	}
	s, st = b.fit(s, st, room-b.width(unit, st))
	b.write(margin, y+capHeight(st)/2, s+unit, st, ink)
}

// thin is a unit after a thin space.
func thin(unit string) string { return "\u2009" + strings.TrimPrefix(unit, " ") }

// cell writes a number into its column.
func (b *brush) cell(x0, x1, y int, s string) {
	st := numberText
	for st.size > smallest && b.width(s, st) > x1-x0-2 {
		st.size--
	}
	b.middle((x0+x1)/2, y, s, st, ink)
}
