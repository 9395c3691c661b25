package picture

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/png"
	"math"
	"slices"
	"strconv"
	"time"
	"unicode/utf8"
)

// Season is a year of trips: for each how many fish, what became of them, and which trips had none.
type Season struct {
	Title    string
	From, To time.Time // the first instant of its first day, and of the day after its last
	Now      time.Time // what lies after it has not come yet
	Zone     *time.Location
	Trips    []SeasonTrip // in any order
	Labels   SeasonLabels
}

// SeasonTrip is one trip; all numbers 0: no fish.
type SeasonTrip struct {
	At                 time.Time
	Kept, Gone, Unsaid int
}

func (t SeasonTrip) fish() int { return t.Kept + t.Gone + t.Unsaid }

// SeasonLabels are all its words.
type SeasonLabels struct {
	PerTrip, PerWeek   string     // heading: "Fish per trip"; "Fish per week", where there are too many trips for a bar each
	Kept, Gone, Unsaid string     // "kept", "let go", "not said"
	Blank              string     // row: "no fish"
	ToCome             string     // "to come"
	Months             [12]string // January first, short
	Note               string     // below: what is not in it
}

// Bounds of a season's picture.
const (
	mostTrips   = 2000
	mostFish    = 10_000 // of one trip
	mostBars    = 60     // above it a bar is a week
	narrowBar   = 6
	widestBar   = 28
	seasonPlotH = 300
)

func (s Season) check() error {
	if len(s.Trips) == 0 {
		return ErrEmpty
	}
	if len(s.Trips) > mostTrips {
		return fmt.Errorf("%w: %d trips, at most %d", ErrTooLong, len(s.Trips), mostTrips)
	}
	if d := s.To.Sub(s.From); s.Zone == nil || d < 300*24*time.Hour || d > 400*24*time.Hour {
		return errors.New("a season is a year in some zone")
	}
	l := s.Labels
	for i, w := range append([]string{s.Title, l.PerTrip, l.PerWeek, l.Kept, l.Gone, l.Unsaid, l.Blank, l.ToCome, l.Note}, l.Months[:]...) {
		if n := utf8.RuneCountInString(w); n == 0 || n > maxText {
			return fmt.Errorf("words %d have %d letters, want 1 to %d", i, n, maxText)
		}
	}
	for _, t := range s.Trips {
		if t.Kept < 0 || t.Gone < 0 || t.Unsaid < 0 || t.fish() > mostFish {
			return fmt.Errorf("a trip with %d, %d and %d fish cannot be drawn", t.Kept, t.Gone, t.Unsaid)
		}
		if t.At.Before(s.From) || !t.At.Before(s.To) {
			return errors.New("a trip is outside the season")
		}
	}
	return nil
}

// SeasonPNG draws a season, 1000 pixels wide. The same season gives the same bytes. It refuses one without trips (ErrEmpty), one with
// too many (ErrTooLong), trips outside it and words that are missing.
func SeasonPNG(s Season) ([]byte, error) {
	if err := s.check(); err != nil {
		return nil, fmt.Errorf("draw a season: %w", err)
	}
	b, err := takeBrush()
	if err != nil {
		return nil, fmt.Errorf("draw a season: %w", err)
	}
	defer brushes.Put(b)
	b.season(s)
	settle(b.flat, b.img)
	var out bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.DefaultCompression, BufferPool: &buffers}
	if err := enc.Encode(&out, b.flat); err != nil {
		return nil, fmt.Errorf("encode a season: %w", err)
	}
	return out.Bytes(), nil
}

// bar is what is drawn over one place on the time axis.
type bar struct {
	SeasonTrip
	blanks int // trips without a fish in it
	trips  int
	x      int // its left end
}

const (
	seasonLeft  = 76
	seasonRight = sheetWidth - margin
)

func (s Season) x(t time.Time) float64 {
	return seasonLeft + (seasonRight-seasonLeft)*float64(t.Sub(s.From))/float64(s.To.Sub(s.From))
}

// bars are the trips in order, or the weeks where there are too many trips; width is that of each.
func (s Season) bars() (bars []bar, width int, weekly bool) {
	trips := slices.Clone(s.Trips)
	slices.SortStableFunc(trips, func(a, b SeasonTrip) int { return a.At.Compare(b.At) })
	weekly = len(trips) > mostBars
	week := func(t time.Time) int { return int(t.Sub(s.From) / (7 * 24 * time.Hour)) }
	for _, t := range trips {
		n := len(bars)
		if !weekly || n == 0 || week(bars[n-1].At) != week(t.At) {
			bars = append(bars, bar{SeasonTrip: SeasonTrip{At: t.At}})
			if n++; weekly {
				bars[n-1].At = s.From.Add(time.Duration(week(t.At))*7*24*time.Hour + 84*time.Hour)
			}
		}
		n = len(bars)
		x := &bars[n-1]
		x.Kept, x.Gone, x.Unsaid, x.trips = x.Kept+t.Kept, x.Gone+t.Gone, x.Unsaid+t.Unsaid, x.trips+1
		if t.fish() == 0 {
			x.blanks++
		}
	}
	room := seasonRight - seasonLeft
	if now := int(s.x(s.Now)) - seasonLeft; now < room {
		room = max(now, room/6)
	}
	width = min(widestBar, max(narrowBar, room*2/3/len(bars)))
	if weekly {
		width = min(width, 13) // with a gap, what a week is wide
	}
	s.settleBars(bars, width, max(1, min(3, (room-width*len(bars))/len(bars))))
	return bars, width, weekly
}

// settleBars puts each bar at its day. Where some would lie over each other they share the shift, so that none strays far from its day
// (pool adjacent violators, the least sum of squares), and none goes beyond now.
func (s Season) settleBars(bars []bar, width, gap int) {
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	step := float64(width + gap)
	for i, b := range bars {
		pools = append(pools, pool{s.x(b.At) - float64(width)/2 - float64(i)*step, 1})
		for k := len(pools); k > 1 && pools[k-2].sum/float64(pools[k-2].n) > pools[k-1].sum/float64(pools[k-1].n); k-- {
			pools[k-2] = pool{pools[k-2].sum + pools[k-1].sum, pools[k-2].n + pools[k-1].n}
			pools = pools[:k-1]
		}
	}
	i := 0
	for _, p := range pools {
		for range p.n {
			bars[i].x = int(math.Round(p.sum/float64(p.n) + float64(i)*step))
			if i > 0 { // rounding
				bars[i].x = max(bars[i].x, bars[i-1].x+width+gap)
			}
			i++
		}
	}
	right := min(seasonRight-2, max(int(s.x(s.Now))+width, seasonLeft+2+len(bars)*(width+gap)))
	for i := len(bars) - 1; i >= 0 && bars[i].x+width > right; i-- {
		bars[i].x = right - width
		right = bars[i].x - gap
	}
	left := seasonLeft + 2
	for i := 0; i < len(bars) && bars[i].x < left; i++ {
		bars[i].x = left
		left += width + gap
	}
}

func (b *brush) season(s Season) {
	bars, width, weekly := s.bars()
	l := s.Labels
	var kept, gone, unsaid, blanks, top int
	for _, x := range bars {
		kept, gone, unsaid, blanks, top = kept+x.Kept, gone+x.Gone, unsaid+x.Unsaid, blanks+x.blanks, max(top, x.fish())
	}
	note := b.wrap(l.Note, sourceText, sheetWidth-2*margin)
	const titleH, headH, legendH, blankH, monthH = 60, 40, 42, 40, 40
	plot := image.Rect(seasonLeft, titleH+legendH+headH+8, seasonRight, titleH+legendH+headH+8+seasonPlotH)
	height := plot.Max.Y + blankH + monthH + 8 + len(note)*lineHeight + 14
	b.sheet(sheetWidth, height)

	text, st := b.fit(s.Title, titleText, sheetWidth-2*margin)
	b.write(margin, titleH/2+capHeight(st)/2, text, st, ink)
	head := l.PerTrip
	if weekly {
		head = l.PerWeek
	}
	b.write(margin, titleH+legendH+headH/2+capHeight(headText)/2, head, headText, ink)
	b.legend(titleH+legendH/2, []mark{
		{kept, l.Kept, keptBar}, {gone, l.Gone, goneBar}, {unsaid, l.Unsaid, unsaidBar}, {blanks, l.Blank, nil},
	})

	// What has not come is hatched, so that it is not taken for months without a trip.
	if s.Now.Before(s.To) {
		from := max(plot.Min.X, int(math.Round(s.x(s.Now))))
		ahead := image.Rect(from, plot.Min.Y, plot.Max.X, plot.Max.Y)
		b.hatch(ahead, slant, grid)
	}
	most := max(top, 1)
	unit := Scale{Factor: 1}
	scale := float64(plot.Dy()-34) / float64(most)
	y := func(n int) int { return plot.Max.Y - int(math.Round(float64(n)*scale)) }
	for _, v := range unit.steps(0, float64(most), 5) {
		if v == 0 || v != math.Trunc(v) {
			continue // there are no half fish, and none at all is the row below
		}
		b.rect(image.Rect(plot.Min.X, y(int(v))-1, plot.Max.X, y(int(v))+1), grid)
		n := strconv.Itoa(int(v))
		b.write(plot.Min.X-10-b.width(n, hourText), y(int(v))+capHeight(hourText)/2, n, hourText, ink)
	}
	monthY := plot.Max.Y + blankH + monthH/2
	first := s.From.In(s.Zone)
	for i := range 13 {
		at := time.Date(first.Year(), first.Month()+time.Month(i), 1, 0, 0, 0, 0, s.Zone)
		if at.After(s.To) {
			break
		}
		x := int(math.Round(s.x(at)))
		b.rect(image.Rect(x-1, plot.Min.Y, x+1, plot.Max.Y+blankH+monthH-6), grid)
		if next := at.AddDate(0, 1, 0); !next.After(s.To) {
			mid := (x + int(s.x(next))) / 2
			b.middle(mid, monthY, l.Months[at.Month()-1], hourText, ink)
			if n := s.blanksIn(at, next); weekly && n > 0 {
				text := strconv.Itoa(n)
				w := b.width(text, plateText)
				b.ring(dot{float64(mid - w/2 - 4), float64(plot.Max.Y + blankH/2 + 2)}, 8)
				b.middle(mid+12, plot.Max.Y+blankH/2+2, text, plateText, ink)
			}
		}
	}
	if from := max(plot.Min.X, int(math.Round(s.x(s.Now)))); from < plot.Max.X {
		if w := b.width(l.ToCome, plateText); w+24 < plot.Max.X-from {
			mid := (from + plot.Max.X) / 2
			b.rect(image.Rect(mid-w/2-8, plot.Min.Y+14, mid+w/2+8, plot.Min.Y+50), paper)
			b.middle(mid, plot.Min.Y+32, l.ToCome, plateText, missing)
		}
	}
	b.rect(image.Rect(plot.Min.X, plot.Max.Y-1, plot.Max.X, plot.Max.Y+2), ink)
	blankY := plot.Max.Y + blankH/2 + 2
	zero := "0"
	b.write(plot.Min.X-10-b.width(zero, hourText), blankY+capHeight(hourText)/2, zero, hourText, ink)
	for _, x := range bars {
		foot := 0
		for _, part := range []struct {
			n  int
			do func(*brush, image.Rectangle)
		}{{x.Kept, keptBar}, {x.Gone, goneBar}, {x.Unsaid, unsaidBar}} {
			if part.n > 0 {
				part.do(b, image.Rect(x.x, y(foot+part.n), x.x+width, y(foot)))
				foot += part.n
			}
		}
		if n := strconv.Itoa(foot); foot > 0 && b.width(n, numberText) <= width+6 && len(bars) <= 24 {
			b.middle(x.x+width/2, y(foot)-18, n, numberText, ink)
		}
		if x.blanks > 0 && !weekly {
			b.ring(dot{float64(x.x) + float64(width)/2, float64(blankY)}, max(5, min(10, float64(width)/2)))
		}
	}
	for i, t := range note {
		b.write(margin, plot.Max.Y+blankH+monthH+8+i*lineHeight+20+capHeight(sourceText)/2, t, sourceText, ink)
	}
}

func (s Season) blanksIn(from, to time.Time) (n int) {
	for _, t := range s.Trips {
		if t.fish() == 0 && !t.At.Before(from) && t.At.Before(to) {
			n++
		}
	}
	return n
}

// The three fates differ in pattern and lightness, not in hue alone.
func keptBar(b *brush, r image.Rectangle) { b.rect(r, deep) }

func goneBar(b *brush, r image.Rectangle) {
	b.rect(r, deep)
	b.rect(image.Rect(r.Min.X+2, r.Min.Y+2, r.Max.X-2, r.Max.Y), mist)
}

func unsaidBar(b *brush, r image.Rectangle) {
	b.rect(r, missing)
	in := image.Rect(r.Min.X+2, r.Min.Y+2, r.Max.X-2, r.Max.Y)
	b.rect(in, paper)
	b.hatch(in, func(x, y int) bool { return (x+y)%10 < 4 }, missing)
}

// ring marks a trip without a fish.
func (b *brush) ring(at dot, r float64) {
	b.fill(rust, round(at, r))
	b.fill(paper, round(at, r-3))
}

// round is a smoother disc than the joints of lines need.
func round(p dot, r float64) []dot {
	out := make([]dot, 28)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(len(out)))
		out[i] = dot{p.x + r*c, p.y + r*s}
	}
	return out
}

// mark is one part of the legend: how many, of what, and how it is drawn (nil: as a ring).
type mark struct {
	n    int
	word string
	do   func(*brush, image.Rectangle)
}

func (b *brush) legend(y int, marks []mark) {
	marks = slices.DeleteFunc(marks, func(m mark) bool { return m.n == 0 })
	st := plateText
	all := func() (w int) {
		for _, m := range marks {
			w += 34 + b.width(fmt.Sprintf("%s %d", m.word, m.n), st) + 26
		}
		return w
	}
	for all() > sheetWidth-2*margin+26 && st.size > smallest {
		st.size--
	}
	x := margin
	for _, m := range marks {
		if m.do == nil {
			b.ring(dot{float64(x) + 12, float64(y)}, 10)
		} else {
			m.do(b, image.Rect(x, y-13, x+24, y+13))
			b.rect(image.Rect(x, y+11, x+24, y+13), deep)
		}
		text := fmt.Sprintf("%s %d", m.word, m.n)
		b.write(x+34, y+capHeight(st)/2, text, st, ink)
		x += 34 + b.width(text, st) + 26
	}
}
