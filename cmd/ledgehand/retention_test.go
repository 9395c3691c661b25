package main

import (
	"strings"
	"testing"
	"time"

	"ledgehand/bot/bottest"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// everyRecord is all records of the store, as they are once opened: key -> body.
func (st *stage) everyRecord(t *testing.T) map[string]string {
	t.Helper()
	all := map[string]string{}
	for s := range session.Shard(session.Shards) {
		keys, err := st.house.store.Keys(t.Context(), s, "")
		must(t, err)
		if len(keys) == 0 {
			continue
		}
		recs, err := st.house.store.Load(t.Context(), s, keys...)
		must(t, err)
		for _, r := range recs {
			all[r.Key] = string(r.Body)
		}
	}
	return all
}

// told are what an ended outing must not tell for longer than three days: where it was, whom to ring, what stands in the car park.
var told = []string{"38.9546", "123.7406", "555 0142", "zz99"}

// Three days after the end, and not before, the exact place, phones and cars are gone from the outing's record, by its own look; one
// that never ends keeps them.
func TestAnEndedOutingForgetsWhereItWas(t *testing.T) {
	g := guard(t, stageParts{}, nil, "The crew")
	g.starts(ana, "")
	g.writes(ana, ana, "/me phone +00 555 0142")
	g.writes(ana, ana, "/me car van ZZ99")
	g.writes(crew, bram, "/in")
	g.writes(crew, ana, "/ledge add Anvil at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
	g.writes(crew, ana, "/ledge add Long Step at 38.9546 -123.7406 lip 6.1 faces 270 number 911")
	g.writes(crew, ana, "/out Anvil back in 2 hours")
	ended := "outing/" + string(session.CrewOf(crew)) + "/"
	for key := range g.everyRecord(t) {
		if strings.HasPrefix(key, ended) {
			ended = key
		}
	}
	old, ok := g.said(crew, "Out: Ana")
	if !ok {
		t.Fatal("Ana is not out")
	}
	g.writes(crew, ana, "/off")
	end := g.now().Add(-time.Minute)
	g.writes(crew, bram, "/out Long Step back in 20 hours") // and is never heard of again
	has := func() (n int) {
		body := strings.ToLower(g.everyRecord(t)[ended])
		for _, s := range told {
			if strings.Contains(body, s) {
				n++
			}
		}
		return n
	}
	for _, c := range []struct {
		at   time.Time
		want int
	}{{end.Add(outing.Keeps - time.Minute), len(told)}, {end.Add(outing.Keeps + time.Minute), 0}, {end.Add(2 * outing.Keeps), 0}} {
		must(t, g.until(t.Context(), c.at))
		if got := has(); got != c.want {
			t.Errorf("%v after the end it tells %d of %d things, want %d", c.at.Sub(end), got, len(told), c.want)
		}
		for s := range session.Shard(session.Shards) {
			mended, err := g.house.session.Reconcile(t.Context(), s, g.now())
			if err != nil || len(mended) != 0 {
				t.Errorf("%v after the end the index differs in %v, %v", c.at.Sub(end), mended, err)
			}
		}
	}
	for key, body := range g.everyRecord(t) {
		if strings.HasPrefix(key, "outing/") && key != ended && !strings.Contains(body, "38.9546") {
			t.Errorf("an outing that never ended lost its place: %s", body)
		}
	}
	// An old panel is answered, with nothing changed; who says "off" or "home" again as well.
	data := ""
	for _, row := range old.Buttons {
		for _, b := range row {
			if strings.HasPrefix(b.Data, "aplan|") {
				data = b.Data
			}
		}
	}
	before := len(g.server.Transcript())
	g.forges(crew, ana, old.ID, data)
	answered := false
	for _, e := range g.server.Transcript()[before:] {
		answered = answered || e.What == bottest.Answered && strings.Contains(e.Text, "Anvil: closed")
		if len(found(e.Text, "38.9546")) > 0 {
			t.Errorf("an old panel still gives the place: %s", e.Text)
		}
	}
	if !answered {
		t.Errorf("an old panel of a wiped outing is not answered:\n%s", g)
	}
	g.forges(crew, ana, old.ID, strings.Replace(data, "aplan|", "aoff|", 1))
	if _, ok := g.said(crew, "Ana: off Anvil"); !ok || has() != 0 || len(g.dead(t)) != 0 {
		t.Error("an old panel's off is not confirmed any more")
	}
}
