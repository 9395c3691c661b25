package picture

import (
	"bytes"
	"errors"
	"image"
	"image/color"
	"image/png"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

func decoded(tb testing.TB, c Chart) image.Image {
	tb.Helper()
	m, err := png.Decode(bytes.NewReader(drawn(tb, c)))
	if err != nil {
		tb.Fatalf("png.Decode: %v", err)
	}
	return m
}

// laid is where things are in the picture of a chart.
func laid(tb testing.TB, c Chart) *frame {
	tb.Helper()
	b, err := takeBrush()
	if err != nil {
		tb.Fatal(err)
	}
	defer brushes.Put(b)
	return lay(b, c)
}

// count is how many pixels of a part of the picture have exactly that ink.
func count(m image.Image, r image.Rectangle, c color.RGBA) int {
	n := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if is(m, x, y, c) {
				n++
			}
		}
	}
	return n
}

func is(m image.Image, x, y int, c color.RGBA) bool {
	p := m.(*image.Paletted) // what PNG writes
	return p.Palette[p.ColorIndexAt(x, y)] == color.Color(c)
}

// hourColumn is the part of a plot that belongs to one hour.
func hourColumn(f *frame, plot, i int) image.Rectangle {
	x0, x1 := f.column(i, i+1)
	return image.Rect(x0, f.plots[plot].Min.Y, x1, f.plots[plot].Max.Y-2)
}

// plain is n hours of a level sea with nothing else in the picture, in a zone without changes of clocks.
func plain(n int) Chart {
	from := time.Date(2026, 5, 2, 6, 0, 0, 0, time.UTC)
	c := Chart{Title: "Anvil, Sat 2 May", Verdict: "could be washed", Zone: time.UTC, Lip: 3, Datum: "m above datum", Units: Metric, Labels: words()}
	for i := range n {
		c.Hours = append(c.Hours, Hour{
			At: from.Add(time.Duration(i) * time.Hour), Known: true, Hs: 1, HsP90: math.NaN(), PeriodS: 10, SwellFromDeg: 270, P: 0.3,
			WindKnown: true, WindMS: 5, GustMS: 8, WindFromDeg: 270,
		})
	}
	for k := range 6*n + 1 {
		c.TideCurve = append(c.TideCurve, Point{from.Add(time.Duration(k) * 10 * time.Minute), 1})
	}
	return c
}

func TestThePictureHasTheSizeOfAPhone(t *testing.T) {
	for name, c := range samples(t) {
		b := decoded(t, c).Bounds()
		if b.Dx() != 1000 || b.Dy() < 1000 || b.Dy() > 1280 {
			t.Errorf("PNG(%s) is %dx%d, want 1000 wide, 1000 to 1280 high", name, b.Dx(), b.Dy())
		}
	}
}

func TestTheSameChartGivesTheSameBytes(t *testing.T) {
	want := map[string][]byte{}
	for name, c := range samples(t) {
		want[name] = drawn(t, c)
	}
	var wg sync.WaitGroup
	for range 3 { // also from several at once, and after other charts
		for name, c := range samples(t) {
			wg.Go(func() {
				if got, err := PNG(c); err != nil || !bytes.Equal(got, want[name]) {
					t.Errorf("PNG(%s) again = %d other bytes, %v", name, len(got), err)
				}
			})
		}
	}
	wg.Wait()
}

func TestAnHourNobodyKnowsDoesNotLookCalm(t *testing.T) {
	calm, hidden, missed := plain(6), plain(6), plain(6)
	calm.Hours[3] = Hour{At: calm.Hours[3].At, Known: true, WindKnown: true}
	hidden.Hours[3] = Hour{At: hidden.Hours[3].At}
	missed.Hours = slices.Delete(missed.Hours, 3, 4)
	f := laid(t, calm)
	flat := decoded(t, calm)
	for name, c := range map[string]Chart{"an hour not known": hidden, "an hour left out": missed} {
		m := decoded(t, c)
		for _, plot := range []int{1, 2} {
			r := hourColumn(f, plot, 3)
			all := r.Dx() * r.Dy()
			if n := count(flat, r, missing); n > all/200 { // the edge of a letter may have the hatch's grey
				t.Errorf("plot %d of a calm hour has %d of %d pixels in the grey of the unknown hatch, want hardly any", plot, n, all)
			}
			if n := count(m, r, missing); n < all/5 {
				t.Errorf("%s: plot %d has %d of %d pixels hatched, want a fifth at least", name, plot, n, all)
			}
			for _, beside := range []int{2, 4} {
				if n := count(m, hourColumn(f, plot, beside).Inset(4), missing); n > all/200 {
					t.Errorf("%s: the known hour %d in plot %d has %d hatched pixels, want hardly any", name, beside, plot, n)
				}
			}
		}
		x0, x1 := f.column(3, 4)
		for _, y := range []int{f.periodY, f.goesY, f.windY, f.gustY, f.blow} {
			r := image.Rect(x0, y-16, x1, y+16)
			if same(flat, m, r) {
				t.Errorf("%s: the row at %d shows what it shows for a calm hour", name, y)
			}
			if count(m, r, ink) == 0 {
				t.Errorf("%s: the row at %d is empty, want a question mark", name, y)
			}
		}
	}
}

func same(a, b image.Image, r image.Rectangle) bool {
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				return false
			}
		}
	}
	return true
}

func TestATideNobodyKnowsIsNoLowWater(t *testing.T) {
	c := plain(6)
	c.TideCurve = slices.Delete(c.TideCurve, 13, 24) // from 08:00 to 10:00 nothing
	f, m := laid(t, c), decoded(t, c)
	for _, i := range []int{2, 3} {
		r := hourColumn(f, 0, i).Inset(6)
		if n := count(m, r, missing); n < r.Dx()*r.Dy()/8 {
			t.Errorf("hour %d without tide has %d hatched pixels, want an eighth of %d", i, n, r.Dx()*r.Dy())
		}
		if n := count(m, r, water); n != 0 {
			t.Errorf("hour %d without tide shows %d pixels of water, want none", i, n)
		}
	}
	if n := count(m, hourColumn(f, 0, 1).Inset(6), water); n == 0 {
		t.Error("an hour with a tide shows no water")
	}
}

// middleOf is the middle of the longest run of an ink in a column of pixels.
func middleOf(m image.Image, x int, r image.Rectangle, c color.RGBA) (mid float64, length int) {
	run := 0
	for y := r.Min.Y; y <= r.Max.Y; y++ {
		if y < r.Max.Y && is(m, x, y, c) {
			run++
			continue
		}
		if run > length {
			mid, length = float64(y)-float64(run+1)/2, run
		}
		run = 0
	}
	return mid, length
}

func TestTheLipStandsWhereItsHeightSays(t *testing.T) {
	for _, lip := range []float64{1.5, 2, 3, 8} {
		c := plain(6)
		c.Lip, c.Gate = lip, ptr(0.5)
		f, m := laid(t, c), decoded(t, c)
		r := f.plots[0]
		r.Max.Y -= 4
		// gate at 0.5, water at 1, so that half a metre is measured in the picture itself; medians over columns pass over labels
		var lips, seas, gates []float64
		for x := r.Min.X + 3; x < r.Max.X-3; x++ {
			if y, n := middleOf(m, x, r, ink); n >= 6 && n <= 9 {
				lips = append(lips, y)
			}
			if y, n := middleOf(m, x, r, deep); n >= 3 && n <= 6 {
				seas = append(seas, y)
			}
			if y, n := middleOf(m, x, r, rust); n >= 8 { // wet: heavy
				gates = append(gates, y)
			}
		}
		if len(lips) < 100 || len(seas) < 100 || len(gates) < 100 {
			t.Fatalf("lip %g: found %d columns of lip, %d of water line, %d of walk-in, want 100 of each", lip, len(lips), len(seas), len(gates))
		}
		metre := (median(gates) - median(seas)) / 0.5
		got := 1 + (median(seas)-median(lips))/metre
		if tol := 2 / metre * (1 + math.Abs(lip-1)/0.5); math.Abs(got-lip) > tol { // a pixel of rounding at either end, stretched
			t.Errorf("a lip at %g m is drawn at %.2f m, want within %.2f", lip, got, tol)
		}
	}
}

func median(v []float64) float64 {
	slices.Sort(v)
	return v[len(v)/2]
}

func TestALedgeUnderWaterIsStriped(t *testing.T) {
	dry, wet := plain(6), plain(6)
	wet.Lip = 0.2
	rows := func(c Chart) (striped int) {
		f, m := laid(t, c), decoded(t, c)
		a, _ := f.waterAxis()
		for y := a.py(1) + 4; y < a.py(min(c.Lip, 0.9))-4; y++ {
			if n := count(m, image.Rect(plotLeft, y, plotRight, y+1), ink); n > (plotRight-plotLeft)/2 {
				striped++
			}
		}
		return striped
	}
	if n := rows(dry); n != 0 {
		t.Errorf("a dry ledge has %d striped rows, want none", n)
	}
	if n := rows(wet); n < 12 {
		t.Errorf("a ledge 0.8 m under water has %d striped rows, want 12 at least", n)
	}
}

// headings are the bearings, of every 15 degrees, to which an arrow of that length points: there is ink along its axis at
// either end, none beside its tail, and it is broader before its middle than behind. A good arrow has exactly one.
func headings(m image.Image, mid dot, length float64) []float64 {
	var out []float64
	for deg := 0.0; deg < 360; deg += 15 {
		s, c := math.Sincos(deg * math.Pi / 180)
		inked := func(along, aside float64) bool {
			along, aside = along*length/2, aside*length/2
			x, y := mid.x+along*s+aside*c, mid.y-along*c+aside*s
			r, _, _, _ := m.At(int(math.Floor(x)), int(math.Floor(y))).RGBA()
			return r < 0xa000
		}
		breadth := func(along float64) (n int) {
			for a := -1.0; a <= 1; a += 0.02 {
				if inked(along, a) {
					n++
				}
			}
			return n
		}
		widest := func(from, to float64) (n int) {
			for a := from; a <= to; a += 0.05 {
				n = max(n, breadth(a))
			}
			return n
		}
		if inked(0.8, 0) && inked(-0.8, 0) && !inked(-0.7, 0.45) && !inked(-0.7, -0.45) && 10*widest(0.1, 0.5) > 14*widest(-0.6, -0.2) {
			out = append(out, deg)
		}
	}
	return out
}

func TestAnArrowPointsWhereItGoes(t *testing.T) {
	b, err := takeBrush()
	if err != nil {
		t.Fatal(err)
	}
	defer brushes.Put(b)
	for _, solid := range []bool{true, false} {
		for from := 0.0; from < 360; from += 15 {
			b.sheet(101, 101)
			b.arrow(dot{50.5, 50.5}, 60, from, solid, ink)
			if got, want := headings(b.img, dot{50.5, 50.5}, 60), math.Mod(from+180, 360); !slices.Equal(got, []float64{want}) {
				t.Errorf("arrow(from %g, solid %t) points to %v, want %g", from, solid, got, want)
			}
		}
	}
}

func TestArrowsInThePictureFollowTheirHour(t *testing.T) {
	c := plain(4)
	swell, blows := []float64{270, 180, 90, 225}, []float64{0, 45, 135, 270}
	for i := range c.Hours {
		c.Hours[i].SwellFromDeg, c.Hours[i].WindFromDeg = swell[i], blows[i]
	}
	f, m := laid(t, c), decoded(t, c)
	for i := range c.Hours {
		x0, x1 := f.column(i, i+1)
		for _, row := range []struct {
			name string
			y    int
			from float64
		}{{"swell", f.goesY, swell[i]}, {"wind", f.blow, blows[i]}} {
			got, want := headings(m, dot{float64(x0+x1) / 2, float64(row.y)}, arrowLength), math.Mod(row.from+180, 360)
			if !slices.Equal(got, []float64{want}) {
				t.Errorf("hour %d: the %s from %g points to %v, want %g", i, row.name, row.from, got, want)
			}
		}
	}
}

func TestBarsAreAsHighAsTheirChance(t *testing.T) {
	c := plain(5)
	for i, p := range []float64{0.2, 0.4, 0.6, 0.8, 1} {
		c.Hours[i].P = p
	}
	f, m := laid(t, c), decoded(t, c)
	for i, h := range c.Hours {
		r := hourColumn(f, 2, i)
		x0, x1 := f.column(i, i+1)
		_, got := middleOf(m, (x0+x1)/2, r, ink)
		top := r.Min.Y // of the line at 100 percent, between the bars
		for !is(m, x0+3, top, grid) {
			top++
		}
		full := r.Max.Y - top
		if want := h.P * float64(full); math.Abs(float64(got)-want) > 2 {
			t.Errorf("a chance of %g has a bar of %d pixels, want %.0f", h.P, got, want)
		}
	}
}

func TestWavesBreakingOnTheLedgeGetNoNumber(t *testing.T) {
	a, b := plain(4), plain(4)
	for i := range 4 {
		a.Hours[i].Violent, b.Hours[i].Violent = true, true
		a.Hours[i].P, b.Hours[i].P = 0.1, 0.9
	}
	if !bytes.Equal(drawn(t, a), drawn(t, b)) {
		t.Error("two violent days differ by a chance that does not hold")
	}
	if bytes.Equal(drawn(t, a), drawn(t, plain(4))) {
		t.Error("a violent day looks like another")
	}
}

func TestNightAskedHoursAndTurnBackAreWhereTheyBelong(t *testing.T) {
	c := plain(8)
	from := c.Hours[0].At
	c.Dark = []Span{{from.Add(-5 * time.Hour), from.Add(2 * time.Hour)}}
	c.Window = Span{from.Add(3 * time.Hour), from.Add(7 * time.Hour)}
	c.TurnBack = from.Add(5*time.Hour + 20*time.Minute)
	f, m := laid(t, c), decoded(t, c)
	for i := range 8 {
		n := count(m, hourColumn(f, 2, i).Inset(8), night)
		if dark := i < 2; dark != (n > 500) {
			t.Errorf("hour %d, dark %t: %d pixels of the night hatch", i, dark, n)
		}
	}
	x := func(h float64) int { return plotLeft + int(math.Round((plotRight-plotLeft)*h/8)) }
	r := f.plots[1]
	for _, h := range []float64{3, 7} {
		if n := count(m, image.Rect(x(h)-1, r.Min.Y, x(h), r.Max.Y), ink); n < r.Dy()*3/4 {
			t.Errorf("the edge of the asked hours at hour %g is inked over %d of %d pixels", h, n, r.Dy())
		}
	}
	at := x(5 + 20.0/60)
	if n := count(m, image.Rect(at, r.Min.Y, at+1, r.Max.Y), rust); n < r.Dy()/2 || n > r.Dy()*9/10 {
		t.Errorf("the turn-back line is inked over %d of %d pixels, want it broken", n, r.Dy())
	}
}

func TestTheLimitIsABrokenLineAtItsHeight(t *testing.T) {
	c := plain(6)
	c.LimitHs = ptr(2)
	f, m := laid(t, c), decoded(t, c)
	r := f.plots[1]
	sea, _ := middleOf(m, plotLeft+30, image.Rect(0, r.Min.Y, 1000, r.Max.Y-3), ink) // 1 m
	foot := float64(r.Max.Y)
	y := int(math.Round(foot - 2*(foot-sea-0.5)))
	n := 0
	for x := r.Min.X; x < r.Max.X; x++ {
		if is(m, x, y, rust) {
			n++
		}
	}
	if n < r.Dx()/2 || n > r.Dx()*4/5 {
		t.Errorf("the limit of 2 m, twice as high as the sea of 1 m, is inked over %d of %d pixels at y %d", n, r.Dx(), y)
	}
}

// The changes of clocks: in the United States the second Sunday of March and the first of November at 02:00 local time
// (Energy Policy Act of 2005, section 110); on Lord Howe Island by half an hour, on the first Sunday of October (tz database).
func TestTheAxisShowsTheClockOnTheWall(t *testing.T) {
	for _, x := range []struct {
		name, zone string
		start      time.Time
		hours      int
		marks      string
		days       string
	}{
		{"clocks go forward", "America/New_York", time.Date(2026, 3, 8, 5, 0, 0, 0, time.UTC), 6, "00 01 03 04 05 06", "Sun 8|clocks change +1 h"},
		{"clocks go back", "America/New_York", time.Date(2026, 11, 1, 3, 0, 0, 0, time.UTC), 6, "23 00 01 01 02 03", "Sat 31|Sun 1|clocks change −1 h"},
		{"by half an hour", "Australia/Lord_Howe", time.Date(2026, 10, 3, 13, 30, 0, 0, time.UTC), 5, "00 01 02:30 03:30 04:30", "Sun 4|clocks change +30 min"},
		{"a zone with half an hour", "Asia/Kolkata", time.Date(2026, 5, 2, 17, 0, 0, 0, time.UTC), 3, "22:30 23:30 00:30", "Sat 2|Sun 3"},
		{"a day without change", "Europe/Lisbon", time.Date(2026, 3, 14, 22, 0, 0, 0, time.UTC), 4, "22 23 00 01", "Sat 14|Sun 15"},
	} {
		t.Run(x.name, func(t *testing.T) {
			c := plain(x.hours)
			c.Zone = zone(t, x.zone)
			for i := range c.Hours {
				c.Hours[i].At = x.start.Add(time.Duration(i) * time.Hour)
			}
			f := laid(t, c)
			if got := strings.Join(f.hourMarks(), " "); got != x.marks {
				t.Errorf("hour marks = %q, want %q", got, x.marks)
			}
			var days []string
			for _, d := range f.dayMarks() {
				days = append(days, d.text)
			}
			if got := strings.Join(days, "|"); got != x.days {
				t.Errorf("day marks = %q, want %q", got, x.days)
			}
			x0, _ := f.column(0, 1)
			_, x1 := f.column(x.hours-1, x.hours)
			if x0 != plotLeft || x1 != plotRight {
				t.Errorf("the hours reach from %d to %d, want %d to %d", x0, x1, plotLeft, plotRight)
			}
			drawn(t, c)
		})
	}
}

func TestNumbersThatStandForSeveralHoursAreTheWorst(t *testing.T) {
	c := plain(24)
	c.Hours[5].P, c.Hours[5].Hs, c.Hours[5].GustMS = 0.9, 3, 20
	c.Hours[8] = Hour{At: c.Hours[8].At}
	f := laid(t, c)
	if f.block != 2 {
		t.Fatalf("24 hours: %d share a number, want 2", f.block)
	}
	if w, whole := f.worstSea(4, 6); w != 5 || !whole {
		t.Errorf("worstSea(4, 6) = %d, %t, want 5, true", w, whole)
	}
	if w, whole := f.worstSea(8, 10); w != 9 || whole {
		t.Errorf("worstSea(8, 10) = %d, %t, want 9, false", w, whole)
	}
	one := plain(24) // the other hour of the pair is the high one
	one.Hours[4].P, one.Hours[4].Hs, one.Hours[4].GustMS = 0.9, 3, 20
	one.Hours[8] = c.Hours[8]
	a, b := decoded(t, c), decoded(t, one)
	x0, x1 := f.column(4, 6)
	if !same(a, b, image.Rect(x0, f.windY-17, x1, f.blow+17)) {
		t.Error("the wind numbers depend on which of the two hours is the worse")
	}
}

func TestPercentNeverSaysNeverNorAlways(t *testing.T) {
	for p, want := range map[float64]string{0: "<1%", 0.004: "<1%", 0.006: "1%", 0.25: "25%", 0.99: "99%", 0.996: ">99%", 1: ">99%"} {
		if got := percent(p); got != want {
			t.Errorf("percent(%g) = %q, want %q", p, got, want)
		}
	}
}

func TestChartsThatWouldMisleadAreRefused(t *testing.T) {
	for name, x := range map[string]struct {
		spoil func(*Chart)
		want  error
	}{
		"no hours":                              {func(c *Chart) { c.Hours = nil }, ErrEmpty},
		"49 hours":                              {func(c *Chart) { *c = plain(49) }, ErrTooLong},
		"two hours far apart":                   {func(c *Chart) { c.Hours[3].At = c.Hours[3].At.Add(48 * time.Hour) }, ErrTooLong},
		"no zone":                               {func(c *Chart) { c.Zone = nil }, nil},
		"no caution":                            {func(c *Chart) { c.Labels.Caution = "" }, nil},
		"no source":                             {func(c *Chart) { c.Labels.Source = "" }, nil},
		"no verdict":                            {func(c *Chart) { c.Verdict = "" }, nil},
		"no units":                              {func(c *Chart) { c.Units = Units{} }, nil},
		"endless text":                          {func(c *Chart) { c.Labels.Source = strings.Repeat("x ", 200) }, nil},
		"hours out of order":                    {func(c *Chart) { c.Hours[0], c.Hours[1] = c.Hours[1], c.Hours[0] }, nil},
		"an hour twice":                         {func(c *Chart) { c.Hours[1].At = c.Hours[0].At }, nil},
		"half hours":                            {func(c *Chart) { c.Hours[3].At = c.Hours[3].At.Add(30 * time.Minute) }, nil},
		"sea that is no number of a known hour": {func(c *Chart) { c.Hours[1].Hs = math.NaN() }, nil},
		"sea below nothing":                     {func(c *Chart) { c.Hours[1].Hs = -0.1 }, nil},
		"endless sea":                           {func(c *Chart) { c.Hours[1].Hs = math.Inf(1) }, nil},
		"chance over one":                       {func(c *Chart) { c.Hours[1].P = 1.01 }, nil},
		"chance in percent":                     {func(c *Chart) { c.Hours[1].P = 25 }, nil},
		"hurricane of no planet":                {func(c *Chart) { c.Hours[1].WindMS = 500 }, nil},
		"endless lip":                           {func(c *Chart) { c.Lip = math.Inf(-1) }, nil},
		"limit of zero":                         {func(c *Chart) { c.LimitHs = ptr(0) }, nil},
		"gate that is no number":                {func(c *Chart) { c.Gate = ptr(math.NaN()) }, nil},
		"tide that is no number":                {func(c *Chart) { c.TideCurve[4].Height = math.NaN() }, nil},
		"tide out of order":                     {func(c *Chart) { c.TideCurve[4].At = c.TideCurve[3].At }, nil},
	} {
		t.Run(name, func(t *testing.T) {
			c := plain(4)
			x.spoil(&c)
			p, err := PNG(c)
			if err == nil || p != nil || x.want != nil && !errors.Is(err, x.want) {
				t.Errorf("PNG = %d bytes, %v, want an error %v", len(p), err, x.want)
			}
		})
	}
}

func TestDrawableKnowsTheScriptsItCanSet(t *testing.T) {
	for s, want := range map[string]bool{
		"Anvil, Sat 14 Mar": true, "Låg Ås – Övre häll": true, "Скала": true, "Mũi Đá Ông": true, "Βράχος": true, "Rocha do Cão 3 ½": true,
		"หินใหญ่": false, "岩场": false, "صخرة": false, "סלע": false, "🌊": false, "a\u0301": false, "": true,
	} {
		if got := Drawable(s); got != want {
			t.Errorf("Drawable(%q) = %t, want %t", s, got, want)
		}
	}
}

func TestNoTextIsSmallerThanAPhoneShows(t *testing.T) {
	brushes = sync.Pool{}
	b, err := takeBrush()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range samples(t) {
		f := lay(b, c)
		b.sheet(sheetWidth, f.height)
		b.draw(f)
	}
	if len(b.types) < 5 {
		t.Fatalf("the samples use %d styles, want 5 at least", len(b.types))
	}
	for st := range b.types {
		if st.size < 22 {
			t.Errorf("text of %d px is drawn, want 22 at least", st.size)
		}
	}
}

func TestLongWordsShrinkOrWrapAndStayOnTheSheet(t *testing.T) {
	long := strings.Repeat("Hinterstoißerquergangsfelsen ", 3)
	c := rising(t)
	c.Title, c.Verdict, c.Labels.Caution, c.Labels.Wind, c.Labels.TurnBack, c.Labels.Asked = long, long+long, long+long, long, long, long
	c.Labels.SwellNote, c.Labels.Chance, c.Labels.Dark, c.Labels.Lip, c.Labels.Limit, c.Labels.High = long, long, long, long, long, long
	f, m := laid(t, c), decoded(t, c)
	b := m.Bounds()
	for _, edge := range []image.Rectangle{
		image.Rect(0, 0, 8, f.verdictTop), image.Rect(b.Max.X-8, 0, b.Max.X, f.verdictTop), // not the black band of the verdict
		image.Rect(0, f.hoursY, 8, b.Max.Y), image.Rect(b.Max.X-8, f.hoursY, b.Max.X, b.Max.Y), image.Rect(0, b.Max.Y-6, b.Max.X, b.Max.Y),
	} {
		if n := edge.Dx()*edge.Dy() - count(m, edge, paper); n != 0 {
			t.Errorf("%d pixels are inked at the edge %v of the sheet, want none", n, edge)
		}
	}
	if len(f.verdict) < 2 || strings.Join(f.verdict, " ") != strings.TrimSpace(c.Verdict) {
		t.Errorf("verdict = %q, want all words on some lines", f.verdict)
	}
}

func TestLabelsStayInsideAndApart(t *testing.T) {
	const seed = 20260314
	r := rand.New(rand.NewPCG(seed, 1))
	for range 300 {
		l := labels{bounds: image.Rect(100, 100, 900, 320), far: 2}
		for range 3 {
			size := image.Pt(60+r.IntN(120), 28+r.IntN(30))
			x, y := 100+r.IntN(800), 100+r.IntN(220)
			got := l.best(size, around(x, y, 12, r.IntN(2) == 0)(size))
			if !got.In(l.bounds) {
				t.Fatalf("seed %d: label %v is outside of %v", seed, got, l.bounds)
			}
			l.taken = append(l.taken, got)
		}
	}
	l := labels{bounds: image.Rect(0, 0, 800, 200), far: 2}
	size := image.Pt(100, 30)
	for range 6 { // the same point six times: there is room for all
		got := l.best(size, along(0, 800, 100, 4, 4)(size))
		for _, o := range l.taken {
			if got.Overlaps(o) {
				t.Errorf("label %v covers %v though there is room", got, o)
			}
		}
		l.taken = append(l.taken, got)
	}
}

func TestAnySeaCanBeDrawn(t *testing.T) {
	const seed = 7
	r := rand.New(rand.NewPCG(seed, 2))
	maybe := func(v float64) float64 {
		if r.IntN(8) == 0 {
			return math.NaN()
		}
		return v
	}
	for k := range 25 {
		c := plain(1 + r.IntN(MaxHours))
		from, n := c.Hours[0].At, len(c.Hours)
		some := func() time.Time { return from.Add(time.Duration(r.IntN(60*n+600)-300) * time.Minute) }
		for i := range c.Hours {
			hs := r.ExpFloat64()
			c.Hours[i] = Hour{At: c.Hours[i].At, Known: r.IntN(5) > 0, Hs: min(hs, 40), HsP90: maybe(2 * hs), PeriodS: maybe(25 * r.Float64()),
				SwellFromDeg: maybe(720*r.Float64() - 360), P: maybe(r.Float64()), Violent: r.IntN(9) == 0,
				WindKnown: r.IntN(5) > 0, WindMS: 60 * r.Float64(), GustMS: maybe(100 * r.Float64()), WindFromDeg: maybe(360 * r.Float64())}
		}
		c.TideCurve, c.Extremes = tideOf(some(), some(), some(), 3*r.NormFloat64(), 4*r.Float64())
		c.Lip, c.Window, c.TurnBack = maybe(6*r.NormFloat64()), Span{some(), some()}, some()
		c.Dark = []Span{{some(), some()}, {some(), some()}}
		c.Gate, c.LimitHs = ptr(2*r.NormFloat64()), ptr(0.1+3*r.Float64())
		p, err := PNG(c)
		if err != nil || len(p) > 100_000 {
			t.Errorf("seed %d, chart %d of %d hours: %d bytes, %v, want at most 100000", seed, k, n, len(p), err)
		}
	}
}

// Contrast by the formula and the minima of WCAG 2.2: 7:1 for text (1.4.6), 4.5:1 (1.4.3), 3:1 for parts of a picture (1.4.11).
func TestInksCanBeReadInTheSun(t *testing.T) {
	light := func(c color.RGBA) float64 {
		lin := func(v uint8) float64 {
			if s := float64(v) / 255; s > 0.04045 {
				return math.Pow((s+0.055)/1.055, 2.4)
			} else {
				return s / 12.92
			}
		}
		return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
	}
	for _, x := range []struct {
		name string
		a, b color.RGBA
		want float64
	}{
		{"text on paper", ink, paper, 7}, {"verdict", paper, ink, 7}, {"limit and walk-in", rust, paper, 4.5}, {"turn-back flag", paper, rust, 4.5},
		{"water", water, paper, 3}, {"water line", deep, paper, 3}, {"unknown hatch", missing, paper, 3}, {"swell arrow", deep, paper, 4.5},
		{"forecast on its band", ink, mist, 7}, {"lip over water", ink, water, 3},
	} {
		a, b := light(x.a), light(x.b)
		if got := (max(a, b) + 0.05) / (min(a, b) + 0.05); got < x.want {
			t.Errorf("contrast of %s = %.1f, want %g at least", x.name, got, x.want)
		}
	}
}

func TestUnitsScaleWhatIsShown(t *testing.T) {
	for _, x := range []struct {
		s    Scale
		v    float64
		want string
	}{
		{Metric.Height, 1.25, "1.3 m"}, {Metric.Height, -0.04, "0.0 m"}, {Metric.Height, -0.2, "−0.2 m"}, {Imperial.Height, 3.048, "10.0 ft"},
		{Metric.Speed, 7.4, "7 m/s"}, {Imperial.Speed, 44.704, "100 mph"},
	} {
		if got := x.s.full(x.v); got != x.want {
			t.Errorf("full(%g) = %q, want %q", x.v, got, x.want)
		}
	}
}
