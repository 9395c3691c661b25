package picture

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/vector"
)

// brush paints on one picture. It is kept for the next one, with the letters it has drawn; one goroutine at a time.
type brush struct {
	img   *image.RGBA
	flat  *image.Paletted
	ras   *vector.Rasterizer
	fonts [2]*sfnt.Font
	types map[style]*typeface
}

var brushes sync.Pool

func takeBrush() (*brush, error) {
	if b, ok := brushes.Get().(*brush); ok {
		return b, nil
	}
	f, err := fonts()
	if err != nil {
		return nil, err
	}
	return &brush{
		img: &image.RGBA{}, flat: &image.Paletted{Palette: tones().palette},
		ras: vector.NewRasterizer(0, 0), fonts: f, types: map[style]*typeface{},
	}, nil
}

// sheet lays out a white sheet of that size.
func (b *brush) sheet(w, h int) {
	if n := 4 * w * h; cap(b.img.Pix) < n {
		b.img.Pix = make([]uint8, n)
		b.flat.Pix = make([]uint8, w*h)
	}
	b.img.Pix, b.img.Stride, b.img.Rect = b.img.Pix[:4*w*h], 4*w, image.Rect(0, 0, w, h)
	b.flat.Pix, b.flat.Stride, b.flat.Rect = b.flat.Pix[:w*h], w, b.img.Rect
	p := b.img.Pix
	p[0] = 255
	for n := 1; n < len(p); n *= 2 { // copying is faster than a loop
		copy(p[n:], p[:n])
	}
}

func (b *brush) rect(r image.Rectangle, c color.RGBA) {
	draw.Draw(b.img, r, image.NewUniform(c), image.Point{}, draw.Src)
}

// pattern says of a pixel whether it is inked. Patterns hang on the sheet, so neighbours join without a seam.
type pattern func(x, y int) bool

// slant is for the night, lattice for what is not known, rungs for a ledge under water, teeth for breaking waves.
var (
	slant   pattern = func(x, y int) bool { return (x+y)%14 < 3 }
	lattice pattern = func(x, y int) bool { return (x+y)%18 < 4 || (x-y+18000)%18 < 4 }
	rungs   pattern = func(_, y int) bool { return y%12 < 6 }
	teeth   pattern = func(x, y int) bool { d := x % 20; return (y+min(d, 20-d))%16 < 7 }
)

func (b *brush) hatch(r image.Rectangle, p pattern, c color.RGBA) {
	r = r.Intersect(b.img.Rect)
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if p(x, y) {
				b.img.SetRGBA(x, y, c)
			}
		}
	}
}

type dot struct{ x, y float64 }

// fill paints closed outlines with smooth edges.
func (b *brush) fill(c color.RGBA, outlines ...[]dot) {
	lo, hi := dot{math.Inf(1), math.Inf(1)}, dot{math.Inf(-1), math.Inf(-1)}
	for _, o := range outlines {
		for _, p := range o {
			lo.x, lo.y, hi.x, hi.y = min(lo.x, p.x), min(lo.y, p.y), max(hi.x, p.x), max(hi.y, p.y)
		}
	}
	r := image.Rect(int(math.Floor(lo.x)), int(math.Floor(lo.y)), int(math.Ceil(hi.x))+1, int(math.Ceil(hi.y))+1)
	if r.Intersect(b.img.Rect).Empty() {
		return
	}
	b.ras.Reset(r.Dx(), r.Dy())
	for _, o := range outlines {
		if turns(o) < 0 { // outlines of opposite turn would cancel where they overlap
			o = backwards(o)
		}
		for i, p := range o {
			x, y := float32(p.x-float64(r.Min.X)), float32(p.y-float64(r.Min.Y))
			if i == 0 {
				b.ras.MoveTo(x, y)
			} else {
				b.ras.LineTo(x, y)
			}
		}
		b.ras.ClosePath()
	}
	b.ras.Draw(b.img, r, image.NewUniform(c), image.Point{})
}

// turns is twice the signed area.
func turns(o []dot) float64 {
	a := 0.0
	for i, p := range o {
		q := o[(i+1)%len(o)]
		a += p.x*q.y - q.x*p.y
	}
	return a
}

func backwards(o []dot) []dot {
	out := make([]dot, len(o))
	for i, p := range o {
		out[len(o)-1-i] = p
	}
	return out
}

// stroke draws a line of some width through the dots, round at its joints.
func (b *brush) stroke(c color.RGBA, width float64, through ...dot) {
	var outlines [][]dot
	r := width / 2
	for i, p := range through {
		outlines = append(outlines, disc(p, r))
		if i == 0 {
			continue
		}
		q := through[i-1]
		l := math.Hypot(p.x-q.x, p.y-q.y)
		if l == 0 {
			continue
		}
		nx, ny := -(p.y-q.y)/l*r, (p.x-q.x)/l*r
		outlines = append(outlines, []dot{{q.x + nx, q.y + ny}, {p.x + nx, p.y + ny}, {p.x - nx, p.y - ny}, {q.x - nx, q.y - ny}})
	}
	b.fill(c, outlines...)
}

func disc(p dot, r float64) []dot {
	out := make([]dot, 10)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(len(out)))
		out[i] = dot{p.x + r*c, p.y + r*s}
	}
	return out
}

// dashes draws a level or upright broken line by whole pixels; width grows to both sides.
func (b *brush) dashes(c color.RGBA, from, to image.Point, width, on, off int) {
	for d := 0; ; d += on + off {
		var r image.Rectangle
		if from.Y == to.Y {
			r = image.Rect(from.X+d, from.Y-width/2, min(from.X+d+on, to.X), from.Y-width/2+width)
			if from.X+d >= to.X {
				return
			}
		} else {
			r = image.Rect(from.X-width/2, from.Y+d, from.X-width/2+width, min(from.Y+d+on, to.Y))
			if from.Y+d >= to.Y {
				return
			}
		}
		b.rect(r, c)
	}
}

// arrowLength fits a row and is still told apart at a third of the size.
const arrowLength = 33

// arrow draws an arrow of some length centred on p that points where a thing from that bearing goes TO, north up.
// A swell arrow is solid, a wind arrow has a slim shaft and an open head.
func (b *brush) arrow(p dot, length, fromDeg float64, solid bool, c color.RGBA) {
	s, co := math.Sincos((fromDeg + 180) * math.Pi / 180)
	at := func(along, aside float64) dot { // along the arrow, and to its right hand
		along, aside = along*length/2, aside*length/2
		return dot{p.x + along*s + aside*co, p.y - along*co + aside*s}
	}
	if solid {
		b.fill(c, []dot{at(1, 0), at(0, 0.72), at(0, 0.26), at(-1, 0.26), at(-1, -0.26), at(0, -0.26), at(0, -0.72)})
		return
	}
	w := length * 0.11
	b.stroke(c, w, at(-0.9, 0), at(0.8, 0))
	b.stroke(c, w, at(0.15, 0.62), at(0.9, 0), at(0.15, -0.62))
}
