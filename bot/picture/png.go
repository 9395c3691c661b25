package picture

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"sync"
)

// PNG draws the chart, 1000 pixels wide and some 1100 to 1280 high. The same chart gives the same bytes. It refuses a
// chart with no hours (ErrEmpty), with more than MaxHours (ErrTooLong), with words missing or with numbers that no sea has.
func PNG(c Chart) ([]byte, error) {
	if err := c.check(); err != nil {
		return nil, fmt.Errorf("draw chart: %w", err)
	}
	b, err := takeBrush()
	if err != nil {
		return nil, fmt.Errorf("draw chart: %w", err)
	}
	defer brushes.Put(b)
	f := lay(b, c)
	b.sheet(sheetWidth, f.height)
	b.draw(f)
	settle(b.flat, b.img)
	var out bytes.Buffer
	out.Grow(64 << 10)
	enc := png.Encoder{CompressionLevel: png.DefaultCompression, BufferPool: &buffers}
	if err := enc.Encode(&out, b.flat); err != nil {
		return nil, fmt.Errorf("encode chart: %w", err)
	}
	return out.Bytes(), nil
}

func (b *brush) draw(f *frame) {
	s, st := b.fit(f.Title, titleText, sheetWidth-2*margin)
	b.write(margin, f.titleY+capHeight(st)/2, s, st, ink)
	b.rect(image.Rect(0, f.verdictTop, sheetWidth, f.verdictTop+len(f.verdict)*verdictLine+6), ink)
	for i, l := range f.verdict {
		b.write(margin, f.verdictTop+28+verdictLine*i+capHeight(f.verdictStyle)/2, l, f.verdictStyle, paper)
	}
	for _, h := range f.heads {
		s, st := b.fit(h.text, headText, sheetWidth-2*margin)
		b.write(margin, h.textY+capHeight(st)/2, s, st, ink)
		s, st = b.fit(h.note, noteText, sheetWidth-2*margin)
		b.write(plotRight-b.width(s, st), h.noteY+capHeight(st)/2, s, st, ink)
	}
	b.clockRows(f)
	b.askedRow(f)
	b.darkRow(f)
	b.turnRow(f)
	b.water(f)
	b.swell(f)
	b.chance(f)
	b.rect(image.Rect(margin, f.footTop-4, sheetWidth-margin, f.footTop-2), night)
	for i, l := range f.foot {
		b.write(margin, f.footTop+20+i*lineHeight+capHeight(l.st)/2, l.text, l.st, ink)
	}
}

// buffers keeps what the encoder allocates.
var buffers encoderPool

type encoderPool struct{ sync.Pool }

func (p *encoderPool) Get() *png.EncoderBuffer {
	b, _ := p.Pool.Get().(*png.EncoderBuffer)
	return b
}

func (p *encoderPool) Put(b *png.EncoderBuffer) { p.Pool.Put(b) }
