package picture

import (
	"image"
	"sort"
	"strconv"
	"time"
)

// hourMarks are the local clock times at which a stretch of hours starts. On a day with a change of clocks they skip
// or repeat, as the clock on the wall does.
func (f *frame) hourMarks() []string {
	var out []string
	f.blocks(func(i, j int) {
		t := f.hours[i].At.In(f.Zone)
		if t.Minute() != 0 {
			out = append(out, t.Format("15:04"))
		} else {
			out = append(out, t.Format("15"))
		}
	})
	return out
}

// dayMark is a word below the time axis.
type dayMark struct {
	at   time.Time
	text string
	turn bool // a change of clocks
}

// dayMarks are the day at the left end, each midnight and each change of clocks.
func (f *frame) dayMarks() []dayMark {
	name := func(t time.Time) string {
		l := t.In(f.Zone)
		return f.Labels.Weekdays[l.Weekday()] + " " + strconv.Itoa(l.Day())
	}
	out := []dayMark{{at: f.start, text: name(f.start)}}
	l := f.start.In(f.Zone)
	for d := 1; ; d++ {
		t := time.Date(l.Year(), l.Month(), l.Day()+d, 0, 0, 0, 0, f.Zone)
		if !t.Before(f.end) {
			break
		}
		out = append(out, dayMark{at: t, text: name(t)})
	}
	for t := l; ; {
		_, next := t.ZoneBounds()
		if next.IsZero() || !next.Before(f.end) {
			break
		}
		_, before := t.Zone()
		_, after := next.Zone()
		if before != after && next.After(f.start) {
			sign := "+"
			if after < before {
				sign = "−"
				before, after = after, before
			}
			shift := time.Duration(after-before) * time.Second
			text := strconv.Itoa(int(shift.Minutes())) + " min"
			if shift%time.Hour == 0 {
				text = strconv.Itoa(int(shift.Hours())) + " h"
			}
			out = append(out, dayMark{at: next, text: f.Labels.ClockChange + " " + sign + text, turn: true})
		}
		t = next
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].at.Before(out[j].at) })
	return out
}

// clockRows writes the hours above and below the plots, and the days.
func (b *brush) clockRows(f *frame) {
	marks := f.hourMarks()
	k := 0
	f.blocks(func(i, j int) {
		x, right := f.column(i, j)
		st := hourText
		if f.inWindow(f.hours[i]) {
			st = askedText
		}
		for st.size > smallest && b.width(marks[k], st) > right-x-6 {
			st.size--
		}
		if b.width(marks[k], st) <= right-x-4 || j-i == f.block { // a short last stretch may have no room
			for _, y := range []int{f.topHours, f.hoursY} {
				b.write(x+5, y+capHeight(st)/2, marks[k], st, ink)
			}
		}
		for _, y := range []int{f.topHours, f.hoursY} {
			b.rect(image.Rect(x-1, y-18, x+1, y+18), night)
		}
		k++
	})
	b.rect(image.Rect(plotRight-1, f.hoursY-18, plotRight+1, f.hoursY+18), night)
	b.dayRow(f)
}

// dayRow writes the days where they begin; the day at the left end gives way to a midnight close to it.
func (b *brush) dayRow(f *frame) {
	marks := f.dayMarks()
	st := style{26, true}
	edge := 0
	for i, m := range marks {
		w := b.width(m.text, st)
		x := f.px(m.at)
		if i == 0 && len(marks) > 1 && x+w+16 > f.px(marks[1].at) {
			continue
		}
		left := max(x+5, edge)
		if left+w > sheetWidth-margin {
			left = sheetWidth - margin - w
			if left < edge {
				continue
			}
		}
		c := ink
		if m.turn {
			c = rust
		}
		foot := f.daysY + 14
		if left < x+5 { // the words reach over the line
			foot = f.hoursY + 17
		}
		b.rect(image.Rect(x-2, f.hoursY-18, x+1, foot), c)
		b.write(left, f.daysY+capHeight(st)/2, m.text, st, c)
		edge = left + w + 14
	}
}
