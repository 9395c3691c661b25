package picture

import (
	"image"
	"time"
)

// nights are the dark spans as far as they show, in pixels from and to.
func (f *frame) nights() [][2]int {
	var out [][2]int
	for _, s := range f.Dark {
		a, z := max(f.px(s.From), plotLeft), min(f.px(s.To), plotRight)
		if z > a {
			out = append(out, [2]int{a, z})
		}
	}
	return out
}

// darken hatches the nights of a plot; it goes under everything else.
func (b *brush) darken(f *frame, r image.Rectangle) {
	for _, n := range f.nights() {
		b.hatch(image.Rect(n[0], r.Min.Y, n[1], r.Max.Y), slant, night)
	}
}

// uprights are where bounds draws its lines.
func (f *frame) uprights(r image.Rectangle) []image.Rectangle {
	var out []image.Rectangle
	add := func(t time.Time, half int) {
		if x := f.px(t); !t.IsZero() && x >= r.Min.X && x <= r.Max.X {
			out = append(out, image.Rect(x-half, r.Min.Y, x+half-1, r.Max.Y))
		}
	}
	add(f.Window.From, 2)
	add(f.Window.To, 2)
	add(f.TurnBack, 5)
	return out
}

// bounds draws the asked hours and the turn-back time through a plot; it goes over the data and under the labels.
func (b *brush) bounds(f *frame, r image.Rectangle) {
	b.rect(image.Rect(r.Min.X, r.Max.Y-1, r.Max.X, r.Max.Y+2), ink)
	for _, u := range f.uprights(r) {
		if u.Dx() < 5 {
			b.rect(u, ink)
			continue
		}
		b.rect(u, paper)
		x := u.Min.X + 5
		b.dashes(rust, image.Pt(x, r.Min.Y), image.Pt(x, r.Max.Y), 6, 20, 8)
	}
}

// askedRow draws the bracket over the asked hours, with its words.
func (b *brush) askedRow(f *frame) {
	if f.askedY == 0 {
		return
	}
	from, to := f.px(f.Window.From), f.px(f.Window.To)
	a, z := max(from, plotLeft), min(to, plotRight)
	s := f.Labels.Asked + " " + f.clock(f.Window.From) + "–" + f.clock(f.Window.To)
	s, st := b.fit(s, askedText, sheetWidth-2*margin)
	w := b.width(s, st)
	b.write(clamp((a+z)/2-w/2, margin, sheetWidth-margin-w), f.askedY+capHeight(st)/2, s, st, ink)
	if z <= a {
		return
	}
	y, foot := f.askedY+18, f.topHours-17
	b.rect(image.Rect(a-2, y, z+1, y+5), ink)
	for _, x := range []int{from, to} {
		if x == a || x == z { // an end that shows
			b.rect(image.Rect(x-2, y, x+1, foot), ink)
		}
	}
}

// turnRow draws the flag of the turn-back time. Outside of the picture the flag says on which side.
func (b *brush) turnRow(f *frame) {
	if f.turnY == 0 {
		return
	}
	s := f.Labels.TurnBack + " " + f.clock(f.TurnBack)
	x := f.px(f.TurnBack)
	inside := x >= plotLeft && x <= plotRight
	switch {
	case x < plotLeft:
		s = "← " + s
	case x > plotRight:
		s += " →"
	}
	s, st := b.fit(s, askedText, sheetWidth-2*margin-24)
	w := b.width(s, st) + 24
	left := x - 3 // the flag flies to the right of its pole, or to the left where there is no room
	if left+w > sheetWidth-margin {
		left = x + 3 - w
	}
	left = clamp(left, margin, sheetWidth-margin-w)
	box := image.Rect(left, f.turnY-18, left+w, f.turnY+18)
	if inside {
		b.rect(image.Rect(x-5, f.turnY, x+5, f.topHours-17), paper)
		b.rect(image.Rect(x-3, f.turnY, x+3, f.topHours-17), rust)
	}
	b.rect(box, rust)
	b.write(left+12, f.turnY+capHeight(st)/2, s, st, paper)
}

// darkRow draws the nights as black bars with their word.
func (b *brush) darkRow(f *frame) {
	if f.darkTop == 0 {
		return
	}
	st := style{25, true}
	w := b.width(f.Labels.Dark, st)
	said := false
	y := f.darkTop
	for _, n := range f.nights() {
		b.rect(image.Rect(n[0], y, n[1], y+30), ink)
		if n[1]-n[0] >= w+12 {
			b.middle((n[0]+n[1])/2, y+15, f.Labels.Dark, st, paper)
			said = true
		}
	}
	for _, n := range f.nights() { // too short for its word: beside it
		if said {
			return
		}
		x := n[1] + 8
		if x+w > plotRight {
			x = n[0] - 8 - w
		}
		b.write(x, y+15+capHeight(st)/2, f.Labels.Dark, st, ink)
		said = true
	}
}

// unknown hatches columns of a plot that nobody knows, with a question mark and, where they fit, the words.
func (b *brush) unknown(r image.Rectangle) {
	b.rect(r, paper) // not even the night is to be seen here
	b.hatch(r, lattice, missing)
	b.rect(image.Rect(r.Min.X, r.Min.Y, r.Min.X+2, r.Max.Y), missing)
	b.rect(image.Rect(r.Max.X-2, r.Min.Y, r.Max.X, r.Max.Y), missing)
}

// unknownSign is the question mark over what unknown has hatched.
func (b *brush) unknownSign(f *frame, r image.Rectangle) image.Rectangle {
	st := style{46, true}
	c := r.Min.Add(r.Max).Div(2)
	w, h := b.width("?", st), 50
	s, wst := f.Labels.Unknown, plateText
	words := b.width(s, wst)
	withWords := words+16 <= r.Dx()
	if withWords {
		w, h = max(w, words), 82
	}
	box := image.Rect(c.X-w/2-6, c.Y-h/2, c.X+w/2+6, c.Y+h/2)
	if box.Dx() > r.Dx() && r.Dx() > 20 {
		box.Min.X, box.Max.X = r.Min.X+2, r.Max.X-2
	}
	b.rect(box, paper)
	if withWords {
		b.middle(c.X, c.Y-16, "?", st, ink)
		b.middle(c.X, c.Y+24, s, wst, ink)
	} else {
		for st.size > smallest && b.width("?", st) > box.Dx() {
			st.size--
		}
		b.middle(c.X, c.Y, "?", st, ink)
	}
	return box
}

func clamp(v, lo, hi int) int { return max(lo, min(v, hi)) }
