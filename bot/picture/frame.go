package picture

import (
	"image"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// The sheet is as wide as chats show pictures without shrinking them twice.
const (
	sheetWidth  = 1000
	margin      = 16
	plotLeft    = 124
	plotRight   = sheetWidth - margin
	rowHeight   = 34
	lineHeight  = 31 // of a line in the foot
	verdictLine = 50
)

var (
	titleText   = style{44, true}
	verdictText = style{42, true}
	headText    = style{30, true}
	noteText    = style{25, false}
	hourText    = style{28, false}
	askedText   = style{28, true}
	numberText  = style{28, true}
	plateText   = style{26, true}
	sourceText  = style{25, false}
	cautionText = style{27, true}
)

// frame is where everything goes: the shared time axis, and from top to bottom the rows and the three plots.
type frame struct {
	Chart
	height     int
	start, end time.Time
	hours      []Hour // one for every hour from start to end; those not handed in know nothing
	block      int    // hours that share one number

	verdict                  []string
	verdictStyle             style
	titleY, verdictTop       int
	turnY, askedY            int // turnY 0: no such row
	darkTop                  int // 0: no such row
	topHours                 int
	heads                    [3]head
	plots                    [3]image.Rectangle // water, swell, chance
	periodY, goesY           int
	windY, gustY, blow, metY int // metY is 0 where nothing is known of how the wind meets the ledge
	hoursY, daysY            int
	footTop                  int
	foot                     []line
}

// head is the line above a plot; its note moves to a line of its own when both do not fit beside each other.
type head struct {
	text, note   string
	textY, noteY int
}

type line struct {
	text string
	st   style
}

// lay decides where everything goes; c has been checked.
func lay(b *brush, c Chart) *frame {
	f := &frame{Chart: c, start: c.Hours[0].At}
	f.end = c.Hours[len(c.Hours)-1].At.Add(time.Hour)
	f.hours = make([]Hour, f.end.Sub(f.start)/time.Hour)
	for i := range f.hours {
		f.hours[i].At = f.start.Add(time.Duration(i) * time.Hour)
	}
	for _, h := range c.Hours {
		f.hours[h.At.Sub(f.start)/time.Hour] = h
	}
	narrowest := b.width("100%", style{24, true}) + 4
	for _, f.block = range []int{1, 2, 3, 4, 6} {
		if (plotRight-plotLeft)*f.block/len(f.hours) >= narrowest {
			break
		}
	}

	y := 0
	row := func(h int) int { y += h; return y - h/2 } // the middle of the next row
	f.titleY = row(60)
	f.verdictTop = y
	f.verdictStyle = verdictText
	for f.verdictStyle.size > 34 && b.width(c.Verdict, f.verdictStyle) > sheetWidth-2*margin {
		f.verdictStyle.size--
	}
	f.verdict = b.wrap(c.Verdict, f.verdictStyle, sheetWidth-2*margin)
	y += len(f.verdict)*verdictLine + 6 + 6
	if !c.Window.From.IsZero() {
		f.askedY = row(34)
		y += 10 // the bracket
	}
	if !c.TurnBack.IsZero() {
		f.turnY = row(38)
	}
	if len(f.nights()) > 0 {
		f.darkTop = y + 4
		y += 34
	}
	f.topHours = row(34)

	notes := [3]string{c.Datum, c.Labels.SwellNote, c.Labels.ChanceNote}
	texts := [3]string{c.Labels.Water, c.Labels.Swell + " " + c.Units.Height.Unit, c.Labels.Chance}
	if f.block > 1 {
		for i := 1; i < 3; i++ {
			w := strings.ReplaceAll(c.Labels.WorstOf, "{n}", strconv.Itoa(f.block))
			if notes[i] != "" {
				w = " · " + w
			}
			notes[i] += w
		}
	}
	for i, h := range [3]int{220, 152, 140} {
		hd := head{text: texts[i], note: notes[i]}
		if i > 0 {
			y += 4
		}
		hd.textY = row(38)
		hd.noteY = hd.textY
		if b.width(hd.text, headText)+24+b.width(hd.note, noteText) > sheetWidth-2*margin {
			hd.noteY = row(30)
		}
		f.heads[i] = hd
		f.plots[i] = image.Rect(plotLeft, y, plotRight, y+h)
		y += h
		switch i {
		case 1:
			f.periodY, f.goesY = row(rowHeight), row(rowHeight+2)
		case 2:
			f.windY, f.gustY, f.blow = row(rowHeight), row(rowHeight), row(rowHeight+2)
			if slices.ContainsFunc(c.Hours, func(h Hour) bool { return h.WindKnown && h.WindTo != "" }) {
				f.metY = row(rowHeight)
			}
		}
	}
	y += 4
	f.hoursY, f.daysY = row(34), row(32)
	y += 6
	f.footTop = y
	for _, l := range b.wrap(c.Labels.Source, sourceText, sheetWidth-2*margin) {
		f.foot = append(f.foot, line{l, sourceText})
	}
	for _, l := range b.wrap(c.Labels.Caution, cautionText, sheetWidth-2*margin) {
		f.foot = append(f.foot, line{l, cautionText})
	}
	f.height = y + len(f.foot)*lineHeight + 14
	return f
}

// x is where an instant is on the time axis.
func (f *frame) x(t time.Time) float64 {
	return plotLeft + (plotRight-plotLeft)*float64(t.Sub(f.start))/float64(f.end.Sub(f.start))
}

func (f *frame) px(t time.Time) int { return int(math.Round(f.x(t))) }

// at is the instant in the middle of a column of pixels.
func (f *frame) at(x int) time.Time {
	part := (float64(x) + 0.5 - plotLeft) / (plotRight - plotLeft)
	return f.start.Add(time.Duration(part * float64(f.end.Sub(f.start))))
}

// column is the left and right end of an hour, or of several from i to j.
func (f *frame) column(i, j int) (int, int) {
	return f.px(f.start.Add(time.Duration(i) * time.Hour)), f.px(f.start.Add(time.Duration(j) * time.Hour))
}

// blocks calls do for each stretch of hours that shares one number.
func (f *frame) blocks(do func(i, j int)) {
	for i := 0; i < len(f.hours); i += f.block {
		do(i, min(i+f.block, len(f.hours)))
	}
}

// inWindow says whether an hour was asked for; without a window every one was.
func (f *frame) inWindow(h Hour) bool {
	return f.Window.From.IsZero() || h.At.Before(f.Window.To) && h.At.Add(time.Hour).After(f.Window.From)
}

func (f *frame) clock(t time.Time) string { return t.In(f.Zone).Format("15:04") }

// show is a value in the reader's unit, without the unit.
func (s Scale) show(v float64) string {
	p := math.Pow(10, float64(s.Digits))
	v = math.Round(v*s.Factor*p) / p
	if v == 0 {
		v = 0 // no "-0.0"
	}
	return minus(strconv.FormatFloat(v, 'f', s.Digits, 64))
}

func (s Scale) full(v float64) string { return s.show(v) + " " + s.Unit }

// steps are round values, in the reader's unit, of about n marks between two SI values.
func (s Scale) steps(lo, hi float64, n int) []float64 {
	span := (hi - lo) * s.Factor
	step := math.Pow(10, math.Floor(math.Log10(span/float64(n))))
	for _, m := range []float64{1, 2, 5, 10} {
		if span/(step*m) <= float64(n) {
			step *= m
			break
		}
	}
	var out []float64
	for k := math.Ceil(lo * s.Factor / step); k*step <= hi*s.Factor; k++ {
		out = append(out, k*step)
	}
	return out
}

// tick writes a round value as short as it goes.
func tick(v float64) string {
	if v == 0 {
		v = 0
	}
	return minus(strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64))
}

// minus makes the hyphen of a number as wide as a wet eye needs it.
func minus(s string) string { return strings.Replace(s, "-", "−", 1) }
