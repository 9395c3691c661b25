package picture

import (
	"image"
	"image/color"
)

// labels finds room for words inside a plot.
type labels struct {
	bounds image.Rectangle
	far    int               // what it costs to be one candidate farther off
	taken  []image.Rectangle // labels that are there
	lines  []image.Rectangle // what a label had better not hide
	dear   []image.Rectangle // what it hides only if there is no other room
}

// best is the candidate, moved inside the plot, that hides least; the earlier of two equals.
func (l *labels) best(size image.Point, corners []image.Point) image.Rectangle {
	var best image.Rectangle
	least := -1
	for i, c := range corners {
		c.X = clamp(c.X, l.bounds.Min.X+3, l.bounds.Max.X-size.X-3)
		c.Y = clamp(c.Y, l.bounds.Min.Y+2, l.bounds.Max.Y-size.Y-3)
		r := image.Rectangle{c, c.Add(size)}
		cost := l.far * i
		for _, t := range l.taken {
			cost += 100 * area(r.Inset(-2).Intersect(t))
		}
		for _, t := range l.lines {
			cost += area(r.Intersect(t))
		}
		for _, t := range l.dear {
			cost += 12 * area(r.Intersect(t))
		}
		if least < 0 || cost < least {
			best, least = r, cost
		}
	}
	return best
}

func area(r image.Rectangle) int { return r.Dx() * r.Dy() }

// plate writes lines of text on a white plate at the best of some corners.
func (b *brush) plate(l *labels, st style, c color.RGBA, corners func(size image.Point) []image.Point, text ...string) {
	size := b.plateSize(st, text...)
	r := l.best(size, corners(size))
	l.taken = append(l.taken, r)
	b.rect(r, paper)
	for i, s := range text {
		b.middle((r.Min.X+r.Max.X)/2, r.Min.Y+3+(st.size+2)/2+i*(st.size+2), s, st, c)
	}
}

func (b *brush) plateSize(st style, text ...string) image.Point {
	w := 0
	for _, s := range text {
		w = max(w, b.width(s, st))
	}
	return image.Pt(w+10, len(text)*(st.size+2)+4)
}

// along are corners for a label that goes with a level line: above it or below, from left to right, then farther off.
func along(from, to, y, above, below int) func(image.Point) []image.Point {
	return func(size image.Point) []image.Point {
		var out []image.Point
		for _, off := range []int{0, 14, 28, 56} {
			for x := from + 6; x == from+6 || x+size.X <= to; x += 8 {
				out = append(out, image.Pt(x, y-above-off-size.Y), image.Pt(x, y+below+off))
			}
		}
		return out
	}
}

// around are corners for a label that goes with a point: over or under it first, then to the sides.
func around(x, y, off int, over bool) func(image.Point) []image.Point {
	return func(size image.Point) []image.Point {
		tops := []int{y - off - size.Y, y + off, y - off - 18 - size.Y, y + off + 18, y - size.Y/2}
		if !over {
			tops[0], tops[1], tops[2], tops[3] = tops[1], tops[0], tops[3], tops[2]
		}
		var out []image.Point
		for _, top := range tops {
			for _, dx := range []int{0, -30, 30, -60, 60, -100, 100} {
				if top == y-size.Y/2 && max(dx, -dx) < size.X/2+off {
					continue
				}
				out = append(out, image.Pt(x-size.X/2+dx, top))
			}
		}
		return append(out, image.Pt(x+off, y-size.Y/2), image.Pt(x-off-size.X, y-size.Y/2))
	}
}
