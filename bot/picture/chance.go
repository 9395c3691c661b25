package picture

import (
	"image"
	"math"
	"strconv"
	"strings"
)

// chanceKnown says whether the chance of an hour can be drawn as a bar.
func (h Hour) chanceKnown() bool { return h.Known && !h.Violent && !math.IsNaN(h.P) }

// percent never says never and never says always.
func percent(p float64) string {
	switch v := math.Round(100 * p); {
	case v < 1:
		return "<1%"
	case v > 99:
		return ">99%"
	default:
		return strconv.FormatFloat(v, 'f', 0, 64) + "%"
	}
}

// chance draws a bar an hour on a scale that always goes from nothing to certain, and the wind below.
func (b *brush) chance(f *frame) {
	r := f.plots[2]
	a := axis{0, 1.3, r} // room for the words over a full bar
	b.darken(f, r)
	for _, v := range []float64{0, 0.5, 1} {
		y := a.py(v)
		b.rect(image.Rect(r.Min.X, y, r.Max.X, y+2), grid)
		t := strconv.Itoa(int(100 * v))
		if v > 0 {
			t += "%"
			b.write(plotLeft-10-b.width(t, noteText), y+capHeight(noteText)/2, t, noteText, ink)
		}
	}
	signs := b.unknownRuns(f, r, func(h Hour) bool { return h.Known && (h.Violent || !math.IsNaN(h.P)) })
	for i, h := range f.hours {
		x0, x1 := f.column(i, i+1)
		side := max(1, (x1-x0)/10)
		switch {
		case h.Known && h.Violent:
			b.rect(image.Rect(x0, a.py(1), x1, r.Max.Y), paper)
			b.hatch(image.Rect(x0, a.py(1), x1, r.Max.Y), teeth, ink)
		case h.chanceKnown():
			top := min(a.py(h.P), r.Max.Y-5) // a chance of nearly nothing is still a known one
			b.rect(image.Rect(x0+side, top, x1-side, r.Max.Y), ink)
		}
	}
	b.bounds(f, r)
	for _, u := range signs {
		b.unknownSign(f, u)
	}
	b.violentSigns(f, a)
	f.blocks(func(i, j int) { b.chanceText(f, a, i, j) })
	b.wind(f)
}

// chanceText writes the worst chance of a stretch over its highest bar.
func (b *brush) chanceText(f *frame, a axis, i, j int) {
	worst, whole := -1.0, true
	for _, h := range f.hours[i:j] {
		if h.chanceKnown() {
			worst = max(worst, h.P)
		} else {
			whole = false
		}
		if h.Known && h.Violent {
			return // no number beside hours for which no number holds
		}
	}
	if worst < 0 {
		return
	}
	text := percent(worst)
	if !whole {
		text += "?"
	}
	x0, x1 := f.column(i, j)
	st := plateText
	for st.size > smallest && b.width(text, st) > x1-x0-4 {
		st.size--
	}
	w := b.width(text, st)
	top := min(a.py(worst), a.r.Max.Y-5) - st.size - 4
	x := (x0 + x1) / 2
	box := image.Rect(x-w/2-2, top, x+w/2+2, top+st.size+2)
	b.rect(box, paper)
	b.middle(x, top+st.size/2+1, text, st, ink)
}

// violentSigns writes over each run of hours with waves breaking onto the ledge that they do.
func (b *brush) violentSigns(f *frame, a axis) {
	violent := func(i int) bool { return i < len(f.hours) && f.hours[i].Known && f.hours[i].Violent }
	for i := 0; i < len(f.hours); i++ {
		j := i
		for violent(j) {
			j++
		}
		if j == i {
			continue
		}
		x0, x1 := f.column(i, j)
		b.violentSign((x0+x1)/2, a.py(0.5), x1-x0-16, a.r.Dy()-40, f.Labels.Violent)
		i = j
	}
}

// violentSign writes the words on as many lines as fit, or a mark alone where they do not.
func (b *brush) violentSign(x, y, width, height int, words string) {
	st := style{25, true}
	lines := b.wrap("! "+words, st, width)
	wide, whole := 0, true
	for _, l := range lines {
		wide = max(wide, b.width(l, st))
	}
	for _, w := range strings.Fields(words) {
		whole = whole && b.width(w, st) <= width // else the word was broken
	}
	if !whole || len(lines)*28 > height {
		lines, wide = []string{"!"}, b.width("!", st)
	}
	top := y - len(lines)*14
	b.rect(image.Rect(x-wide/2-6, top-4, x+wide/2+6, top+len(lines)*28+4), paper)
	for k, l := range lines {
		b.middle(x, top+14+28*k, l, st, ink)
	}
}

// wind writes mean and gust and draws where it goes, for the hour of a stretch with the strongest gust.
func (b *brush) wind(f *frame) {
	b.rowName(f.windY, f.Labels.Wind, f.Units.Speed.Unit)
	b.rowName(f.gustY, f.Labels.Gust, "")
	b.rowName(f.blow, f.Labels.GoesTo, "")
	if f.metY != 0 {
		b.rowName(f.metY, f.Labels.WindTo, "")
	}
	f.blocks(func(i, j int) {
		worst, whole := -1, true
		for k := i; k < j; k++ {
			switch h := f.hours[k]; {
			case !h.WindKnown:
				whole = false
			case worst < 0 || h.strongest() > f.hours[worst].strongest():
				worst = k
			}
		}
		x0, x1 := f.column(i, j)
		if worst < 0 {
			for _, y := range []int{f.windY, f.gustY, f.blow, f.metY} {
				if y != 0 {
					b.cell(x0, x1, y, "?")
				}
			}
			return
		}
		h := f.hours[worst]
		if f.metY != 0 {
			b.cell(x0, x1, f.metY, orAsk(h.WindTo))
		}
		mark := ""
		if !whole {
			mark = "?"
		}
		b.cell(x0, x1, f.windY, f.Units.Speed.show(h.WindMS)+mark)
		if math.IsNaN(h.GustMS) {
			b.cell(x0, x1, f.gustY, "?")
		} else {
			b.cell(x0, x1, f.gustY, f.Units.Speed.show(h.GustMS)+mark)
		}
		if math.IsNaN(h.WindFromDeg) {
			b.cell(x0, x1, f.blow, "?")
			return
		}
		b.arrow(dot{float64(x0+x1) / 2, float64(f.blow)}, arrowLength, h.WindFromDeg, false, ink)
	})
}

func orAsk(word string) string {
	if word == "" {
		return "?"
	}
	return word
}

func (h Hour) strongest() float64 {
	if h.GustMS > h.WindMS {
		return h.GustMS
	}
	return h.WindMS
}
