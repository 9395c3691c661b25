package notice

import (
	"slices"
	"testing"
	"time"
)

var at = time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)

func mark(change func(m *Mark)) Mark {
	m := Mark{At: at, Verdict: "not expected on this forecast", Hs: new(1.2), Wind: new(5.0), Gust: new(8.0), Gate: true, Floods: at}
	if change != nil {
		change(&m)
	}
	return m
}

// Each step is news from its value on, and nothing below it is, up or down.
func TestOnlyWhatChangedIsNews(t *testing.T) {
	for name, tt := range map[string]struct {
		change func(m *Mark)
		want   []Change
	}{
		"nothing":          {nil, nil},
		"looked later":     {func(m *Mark) { m.At = at.Add(time.Hour) }, nil},
		"verdict":          {func(m *Mark) { m.Verdict = "could be washed" }, []Change{Verdict}},
		"swell, under":     {func(m *Mark) { m.Hs = new(1.49) }, nil},
		"swell":            {func(m *Mark) { m.Hs = new(1.5) }, []Change{Swell}},
		"swell, down":      {func(m *Mark) { m.Hs = new(0.9) }, []Change{Swell}},
		"wind, under":      {func(m *Mark) { m.Wind = new(7.9) }, nil},
		"wind":             {func(m *Mark) { m.Wind = new(8.0) }, []Change{Wind}},
		"gust, under":      {func(m *Mark) { m.Gust = new(11.9) }, nil},
		"gust":             {func(m *Mark) { m.Gust = new(12.0) }, []Change{Gust}},
		"gate, under":      {func(m *Mark) { m.Floods = at.Add(-14 * time.Minute) }, nil},
		"gate":             {func(m *Mark) { m.Floods = at.Add(-15 * time.Minute) }, []Change{Gate}},
		"gate stays dry":   {func(m *Mark) { m.Floods = time.Time{} }, []Change{Gate}},
		"no gate any more": {func(m *Mark) { m.Gate, m.Floods = false, time.Time{} }, nil},
		"sea silent": {func(m *Mark) { m.Verdict, m.Hs, m.Missing = "cannot tell", nil, []Blind{NoSea} },
			[]Change{Verdict, Silent}},
		"warnings silent": {func(m *Mark) { m.Missing = []Blind{NoWarnings} }, []Change{Silent}},
		"gust not known":  {func(m *Mark) { m.Gust = nil }, nil},
		"everything at once": {func(m *Mark) {
			m.Verdict, m.Hs, m.Wind, m.Gust, m.Floods = "likely washed", new(2.5), new(12.0), new(18.0), at.Add(time.Hour)
		},
			[]Change{Verdict, Swell, Wind, Gust, Gate}},
	} {
		if got := mark(tt.change).Since(mark(nil)); !slices.Equal(got, tt.want) {
			t.Errorf("%s: %v, want %v", name, got, tt.want)
		}
	}
	silent := mark(func(m *Mark) { m.Missing = []Blind{NoSea, NoWind} })
	if got := mark(nil).Since(silent); !slices.Equal(got, []Change{Heard}) {
		t.Errorf("told again: %v, want heard", got)
	}
	if got := silent.Since(silent); got != nil {
		t.Errorf("silent still: %v, want nothing new", got)
	}
}

func TestAnotherPlanHasAnotherSea(t *testing.T) {
	var n Notice
	if plan, last := n.Of(0); plan != nil || last != nil {
		t.Errorf("marks of nothing: %v, %v", plan, last)
	}
	first, later := mark(nil), mark(func(m *Mark) { m.Hs = new(1.6) })
	n = n.Saw(0, first).Saw(0, later)
	if plan, last := n.Of(0); *plan.Hs != 1.2 || *last.Hs != 1.6 {
		t.Errorf("plan %v, last %v", *plan.Hs, *last.Hs)
	}
	if plan, _ := n.Of(1); plan != nil {
		t.Error("another plan is held against the sea of this one")
	}
	n = n.Saw(1, later)
	if plan, last := n.Of(1); *plan.Hs != 1.6 || *last.Hs != 1.6 {
		t.Errorf("of the changed plan: %v, %v", *plan.Hs, *last.Hs)
	}
}

// Each look is half a step more swell, and one of them is told for its gusts: the second half step is news all the same.
func TestManySmallStepsAreALargeOne(t *testing.T) {
	n := Notice{}.Saw(0, mark(nil))
	gusty := mark(func(m *Mark) { m.Hs, m.Gust = new(1.39), new(13.0) })
	n = n.Told(0, gusty)
	higher := mark(func(m *Mark) { m.Hs, m.Gust = new(1.55), new(13.0) })
	if _, last := n.Of(0); !slices.Equal(higher.Since(*last), []Change{Swell}) {
		t.Errorf("since what was told: %v, want the swell", higher.Since(*last))
	}
	n = n.Told(0, higher)
	if _, last := n.Of(0); higher.Since(*last) != nil || *last.Hs != 1.55 || *last.Gust != 13 {
		t.Errorf("told, and news again: %v", higher.Since(*last))
	}
	if plan, _ := n.Of(0); *plan.Hs != 1.2 {
		t.Errorf("the plan's own mark is %v now", *plan.Hs)
	}
	// Silent in between it keeps what was seen, and that it answers again is told once.
	silent := mark(func(m *Mark) {
		m.Verdict, m.Hs, m.Wind, m.Gust, m.Missing = "cannot tell", nil, nil, nil, []Blind{NoSea}
	})
	n = n.Told(0, silent)
	if _, last := n.Of(0); silent.Since(*last) != nil || !slices.Equal(higher.Since(*last), []Change{Verdict, Heard}) {
		t.Errorf("after silence: %v, %v", silent.Since(*last), higher.Since(*last))
	}
	if n = n.Told(0, higher); n.Last.Missing != nil {
		t.Errorf("missing still: %v", n.Last.Missing)
	}
	if n := (Notice{}).Told(3, higher); n.Seq != 3 || *n.Plan.Hs != 1.55 {
		t.Errorf("of a plan nobody saw: %+v", n)
	}
}

func TestAFileIsSentAgainWhereItWent(t *testing.T) {
	chats := func(fs []File) (out []int64) {
		for _, f := range fs {
			out = append(out, f.Chat)
		}
		return out
	}
	var n Notice
	n, _ = n.Sent(0, 0, "")
	n, _ = n.Sent(11, 0, "es")
	before := n
	n, _ = n.Sent(11, 1, "es")
	if got := chats(n.Outdated(1)); !slices.Equal(got, []int64{0}) {
		t.Errorf("outdated %v, want the group alone", got)
	}
	if got := before.Outdated(1); !slices.Equal(chats(got), []int64{0, 11}) || got[1].Reads != "es" {
		t.Errorf("what was handed in changed: %v", got)
	}
	if got := n.Outdated(0); got != nil {
		t.Errorf("outdated %v, want none", got)
	}
	gone, changed := n.Forget(11)
	if _, again := gone.Forget(11); !changed || again || len(gone.Files) != 1 {
		t.Errorf("forgotten: %v, %+v", changed, gone)
	}
	full := false
	for chat := range int64(MostFiles + 1) {
		n, full = n.Sent(100+chat, 0, "")
	}
	if !full || len(n.Files) != MostFiles {
		t.Errorf("%d chats, full %v", len(n.Files), full)
	}
}
