package picture

import (
	"image"
	"image/color"
	"sync"
)

// The inks. They differ in lightness as well as in hue, so that they stay apart in grey, in glare and to an eye that
// does not tell hues apart; blue and burnt orange are far apart for the common kinds of colour blindness.
var (
	paper   = color.RGBA{255, 255, 255, 255}
	ink     = color.RGBA{10, 20, 30, 255}
	water   = color.RGBA{70, 140, 200, 255}
	deep    = color.RGBA{15, 70, 125, 255}
	mist    = color.RGBA{190, 218, 240, 255}
	rust    = color.RGBA{165, 65, 0, 255}
	grid    = color.RGBA{205, 210, 214, 255}
	night   = color.RGBA{150, 158, 166, 255}
	missing = color.RGBA{95, 104, 112, 255}
)

var inks = []color.RGBA{paper, ink, water, deep, mist, rust, grid, night, missing}

// tones is the palette of the picture (the inks, then the mixes that smooth edges need) and, for each colour in 15
// bits, the nearest of them. A palette makes the file small and the writing fast.
var tones = sync.OnceValue(func() *toneTable {
	t := &toneTable{}
	for _, c := range inks {
		t.palette = append(t.palette, c)
	}
	for i, a := range inks {
		for _, b := range inks[:i] {
			for _, part := range []int{64, 128, 192} {
				t.palette = append(t.palette, mix(a, b, part))
			}
		}
	}
	for part := 16; part < 256; part += 16 { // text on paper is looked at most
		if part%64 != 0 {
			t.palette = append(t.palette, mix(ink, paper, part))
		}
	}
	for k := range t.nearest {
		c := color.RGBA{five(k >> 10), five(k >> 5), five(k), 255}
		t.nearest[k] = uint8(t.palette.Index(c))
	}
	for i, c := range inks {
		t.nearest[cell(c.R, c.G, c.B)] = uint8(i) // an ink is always itself
	}
	return t
})

type toneTable struct {
	palette color.Palette
	nearest [1 << 15]uint8
}

// five widens a number of five bits to eight.
func five(v int) uint8 { v &= 31; return uint8(v<<3 | v>>2) }

func cell(r, g, b uint8) int { return int(r>>3)<<10 | int(g>>3)<<5 | int(b>>3) }

func mix(a, b color.RGBA, part int) color.RGBA {
	m := func(x, y uint8) uint8 { return uint8((int(x)*(256-part) + int(y)*part) / 256) }
	return color.RGBA{m(a.R, b.R), m(a.G, b.G), m(a.B, b.B), 255}
}

// settle turns a picture in full colour into one of the palette.
func settle(dst *image.Paletted, src *image.RGBA) {
	near := &tones().nearest
	for i := range dst.Pix {
		p := src.Pix[4*i : 4*i+4 : 4*i+4]
		dst.Pix[i] = near[cell(p[0], p[1], p[2])]
	}
}
