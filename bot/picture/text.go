package picture

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"strings"
	"sync"
	"unicode"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// smallest is the height, in pixels, below which no text is drawn: the picture is 1000 wide and shown at a third of
// that or so.
const smallest = 22

// fonts are parsed once; a parsed font may be shared.
var fonts = sync.OnceValues(func() ([2]*sfnt.Font, error) {
	var out [2]*sfnt.Font
	for i, ttf := range [][]byte{dejavusanscondensed.TTF, dejavusanscondensedbold.TTF} {
		f, err := opentype.Parse(ttf)
		if err != nil {
			return out, fmt.Errorf("parse font: %w", err)
		}
		out[i] = f
	}
	return out, nil
})

// unshaped are the scripts whose letters change with their neighbours or run from right to left. The font has some of
// them, but set letter by letter they would be wrong.
var unshaped = []*unicode.RangeTable{
	unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko,
	unicode.Devanagari, unicode.Bengali, unicode.Tamil, unicode.Thai, unicode.Lao, unicode.Khmer, unicode.Myanmar,
	unicode.Mn,
}

// Drawable says whether the picture can show this text as it is meant to be read. What cannot be shown is left out
// letter by letter, so a caller with such words should send them beside the picture and give it others.
func Drawable(s string) bool {
	f, err := fonts()
	if err != nil {
		return false
	}
	var buf sfnt.Buffer
	for _, r := range s {
		if g, err := f[1].GlyphIndex(&buf, r); err != nil || g == 0 || unicode.In(r, unshaped...) {
			return false
		}
	}
	return true
}

// style is a way to set text.
type style struct {
	size int // px
	bold bool
}

// typeface is one style with the letters drawn so far.
type typeface struct {
	face    font.Face
	letters map[rune]letter
}

type letter struct {
	mask    *image.Alpha // nil: nothing to paint
	at      image.Point  // of the mask, from the pen on the baseline
	advance fixed.Int26_6
	shown   bool
}

func (t *typeface) letter(r rune) letter {
	if l, ok := t.letters[r]; ok {
		return l
	}
	dr, mask, mp, adv, ok := t.face.Glyph(fixed.Point26_6{}, r)
	l := letter{advance: adv, shown: ok, at: dr.Min}
	if ok && !dr.Empty() {
		l.mask = image.NewAlpha(image.Rectangle{Max: dr.Size()})
		draw.Draw(l.mask, l.mask.Rect, mask, mp, draw.Src) // the face reuses its own
	}
	t.letters[r] = l
	return l
}

func (b *brush) typeface(s style) *typeface {
	if t, ok := b.types[s]; ok {
		return t
	}
	f := b.fonts[0]
	if s.bold {
		f = b.fonts[1]
	}
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: float64(s.size), DPI: 72})
	if err != nil { // it returns none today; a brush that cannot write must not look like one that had nothing to say
		panic(fmt.Sprintf("open face of %d px: %v", s.size, err))
	}
	t := &typeface{face: face, letters: map[rune]letter{}}
	b.types[s] = t
	return t
}

// width of a text in whole pixels.
func (b *brush) width(s string, st style) int {
	t := b.typeface(st)
	var x fixed.Int26_6
	for _, r := range s {
		if l := t.letter(r); l.shown {
			x += l.advance
		}
	}
	return x.Ceil()
}

// write sets a text with its left end at x and its foot at y. Letters the font lacks are left out.
func (b *brush) write(x, y int, s string, st style, c color.RGBA) {
	t := b.typeface(st)
	src := image.NewUniform(c)
	pen := fixed.I(x)
	for _, r := range s {
		l := t.letter(r)
		if !l.shown {
			continue
		}
		if l.mask != nil {
			at := l.at.Add(image.Pt(pen.Round(), y))
			draw.DrawMask(b.img, l.mask.Rect.Add(at), src, image.Point{}, l.mask, image.Point{}, draw.Over)
		}
		pen += l.advance
	}
}

// middle sets a text centred on x, and on y by the height of its capitals and digits.
func (b *brush) middle(x, y int, s string, st style, c color.RGBA) {
	b.write(x-b.width(s, st)/2, y+capHeight(st)/2, s, st, c)
}

// capHeight is 0.729 of the size in this font.
func capHeight(st style) int { return int(math.Round(0.729 * float64(st.size))) }

// fit makes a text narrower: smaller letters first, down to the smallest, then cut with an ellipsis.
func (b *brush) fit(s string, st style, width int) (string, style) {
	for ; st.size > smallest; st.size-- {
		if b.width(s, st) <= width {
			return s, st
		}
	}
	if b.width(s, st) <= width {
		return s, st
	}
	r := []rune(s)
	for len(r) > 1 && b.width(string(r)+"…", st) > width {
		r = r[:len(r)-1]
	}
	return strings.TrimRight(string(r), " ") + "…", st
}

// wrap breaks a text into lines of at most width; nothing is cut off.
func (b *brush) wrap(s string, st style, width int) []string {
	var out []string
	line := ""
	for _, w := range strings.Fields(s) {
		if line != "" && b.width(line+" "+w, st) > width {
			out = append(out, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += w
		for b.width(line, st) > width { // one word wider than the line
			r := []rune(line)
			n := len(r) - 1
			for n > 1 && b.width(string(r[:n]), st) > width {
				n--
			}
			if n < 1 {
				break
			}
			out = append(out, string(r[:n]))
			line = string(r[n:])
		}
	}
	if line != "" {
		out = append(out, line)
	}
	return out
}
