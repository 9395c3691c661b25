package warning

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"ledgehand/conditions"
)

// surfStory is an alert, its update to more coasts, and the end of both.
func surfStory(t testing.TB) (alert, update, cancel Message) {
	return message(t, "hazardous_surf_1_alert.constructed.xml"), message(t, "hazardous_surf_2_update.constructed.xml"), message(t, "hazardous_surf_3_cancel.constructed.xml")
}

func TestLifeOfAWarning(t *testing.T) {
	alert, update, cancel := surfStory(t)
	const a, u, c = "2.49.0.0.36.0.EX.20261206040000.HSW1", "2.49.0.0.36.0.EX.20261206160000.HSW2", "2.49.0.0.36.0.EX.20261207120000.HSW3"
	for _, tc := range []struct {
		name string
		now  string
		have []Message
		want map[string]Standing
	}{
		{"issued, its onset ahead", "2026-12-06T05:00:00Z", []Message{alert}, map[string]Standing{a: ToCome}},
		{"the onset", "2026-12-06T13:00:00Z", []Message{alert}, map[string]Standing{a: InForce}},
		{"updated", "2026-12-06T17:00:00Z", []Message{alert, update}, map[string]Standing{a: Replaced, u: InForce}},
		{"the update came, the alert never did", "2026-12-06T17:00:00Z", []Message{update}, map[string]Standing{u: InForce}},
		{"the alert after its update", "2026-12-06T17:00:00Z", []Message{update, alert}, map[string]Standing{a: Replaced, u: InForce}},
		{"taken back", "2026-12-07T12:30:00Z", []Message{alert, update, cancel}, map[string]Standing{a: Over, u: Cancelled, c: Cancelled}},
		{"taken back before what is taken back arrives", "2026-12-07T12:30:00Z", []Message{cancel, update}, map[string]Standing{u: Cancelled, c: Cancelled}},
		{"the cancel is late: an hour not confirmed", "2026-12-07T18:00:00Z", []Message{update}, map[string]Standing{u: NotConfirmed}},
		{"and then over", "2026-12-07T19:00:00Z", []Message{update}, map[string]Standing{u: Over}},
		{"everything twice", "2026-12-06T17:00:00Z", []Message{update, alert, update, alert}, map[string]Standing{a: Replaced, u: InForce}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := standingsOf(tc.have, ts(tc.now)); !reflect.DeepEqual(got, tc.want) {
				t.Errorf("standings = %v, want %v", got, tc.want)
			}
			if n := len(JudgeCAP(tc.have, nil, ts(tc.now), nil, Geocodes{})); n != len(tc.want) {
				t.Errorf("JudgeCAP = %d hazards, want %d: each once", n, len(tc.want))
			}
		})
	}
	t.Run("its words, times and gravity", func(t *testing.T) {
		j := one(t, "2026-12-06T05:00:00Z", at(-33.9, 151.28), nil, Geocodes{}, alert)
		w := j.Warning()
		if w.Event != "Hazardous Surf Warning" || w.Headline != "Hazardous Surf Warning for Sydney Coast" || w.Sender != "Example Meteorological Service" ||
			w.Text != alert.Infos[0].Description+"\n\n"+alert.Infos[0].Instruction || !w.Onset.Equal(ts("2026-12-06T13:00:00Z")) {
			t.Errorf("Warning = %+v, want the sender's words", w)
		}
		if w.Concern != conditions.Red || yesNo(w.Covers) != "yes" || j.Area != "Sydney Coast" { // its sender calls it moderate
			t.Errorf("Warning = %+v of %q, want red and here", w, j.Area)
		}
		if !j.Until().Equal(ts("2026-12-07T06:00:00Z")) || !w.Ends.IsZero() {
			t.Errorf("Until = %v, Ends = %v, want the end of the message, and none of the event", j.Until(), w.Ends)
		}
	})
	t.Run("an area the update leaves out is released", func(t *testing.T) {
		narrow := update
		narrow.Infos = slices.Clone(update.Infos)
		narrow.Infos[0].Areas = update.Infos[0].Areas[1:] // the Hunter only
		for _, j := range JudgeCAP([]Message{alert, narrow}, at(-34, 151.2), ts("2026-12-06T17:00:00Z"), nil, Geocodes{}) {
			if j.Standing.Shown() && yesNo(j.Covers) != "no" {
				t.Errorf("Sydney still has %+v", j)
			}
		}
	})
}

// changed is a message with one thing different.
func changed(m Message, change func(*Message)) Message {
	m.Infos = slices.Clone(m.Infos)
	m.References = slices.Clone(m.References)
	change(&m)
	return m
}

func TestWhatTakesAWarningBack(t *testing.T) {
	alert, update, cancel := surfStory(t)
	now := ts("2026-12-06T17:00:00Z")
	cancel.Sent = ts("2026-12-06T16:30:00Z")
	// The original, unless something stands in for it, is in force until 06:00 the next day.
	for _, tc := range []struct {
		name string
		by   Message
		want Standing
	}{
		{"an update", update, Replaced},
		{"a cancel", cancel, Cancelled},
		{"an alert that names it", changed(update, func(m *Message) { m.Type = "Alert" }), InForce},
		{"an acknowledgement", changed(cancel, func(m *Message) { m.Type = "Ack" }), InForce},
		{"an error report", changed(cancel, func(m *Message) { m.Type = "Error" }), InForce},
		{"a cancel as an exercise", changed(cancel, func(m *Message) { m.Status = "Exercise" }), InForce},
		{"a test of an update", changed(update, func(m *Message) { m.Status = "Test" }), InForce},
		{"a draft", changed(cancel, func(m *Message) { m.Status = "Draft" }), InForce},
		{"a cancel for a closed circle", changed(cancel, func(m *Message) { m.Scope = "Restricted" }), InForce},
		{"a private one", changed(cancel, func(m *Message) { m.Scope = "Private" }), InForce},
		{"a cancel without references", changed(cancel, func(m *Message) { m.References = nil }), InForce},
		{"a cancel older than the alert", changed(cancel, func(m *Message) { m.Sent = alert.Sent.Add(-time.Hour) }), InForce},
		{"a cancel of the same second", changed(cancel, func(m *Message) { m.Sent = alert.Sent }), InForce},
		{"another identifier", changed(cancel, func(m *Message) { m.References[0].Identifier += "X" }), InForce},
		{"the same identifier sent at another time", changed(cancel, func(m *Message) { m.References[0].Sent = alert.Sent.Add(time.Hour) }), InForce},
		{"the same time in another zone", changed(cancel, func(m *Message) { m.References[0].Sent = alert.Sent.In(time.FixedZone("x", 3600)) }), Cancelled},
		{"another name of the sender", changed(cancel, func(m *Message) { m.References[0].Sender = "MET" }), Cancelled},
		{"no time, the right sender", changed(cancel, func(m *Message) { m.References[0].Sent = time.Time{} }), Cancelled},
		{"no time, another sender", changed(cancel, func(m *Message) { m.References[0].Sent, m.References[0].Sender = time.Time{}, "met2@met.example" }), InForce},
		{"the identifier alone, from the same sender", changed(cancel, func(m *Message) { m.References = []Reference{{Identifier: alert.Identifier}} }), Cancelled},
		{"the identifier alone, from another sender", changed(cancel, func(m *Message) {
			m.References, m.Sender = []Reference{{Identifier: alert.Identifier}}, "other@met.example"
		}), InForce},
		{"an update that is over itself", changed(update, func(m *Message) { m.Infos[0].Expires = ts("2026-12-06T16:00:01Z") }), Replaced},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := standingsOf([]Message{alert, tc.by}, now)[alert.Identifier]; got != tc.want {
				t.Errorf("the alert is %q, want %q", got, tc.want)
			}
		})
	}
	t.Run("two that name each other", func(t *testing.T) {
		a := changed(alert, func(m *Message) {
			m.Type, m.References = "Update", []Reference{{Sender: update.Sender, Identifier: update.Identifier, Sent: update.Sent}}
		})
		if got := standingsOf([]Message{a, update}, now); got[a.Identifier] != Replaced || got[update.Identifier] != InForce {
			t.Errorf("standings = %v, want the later one in force", got)
		}
	})
	t.Run("a cancelled update does not bring the alert back", func(t *testing.T) {
		c := changed(cancel, func(m *Message) { m.References = m.References[1:] })
		if got := standingsOf([]Message{alert, update, c}, now); got[alert.Identifier] != Replaced || got[update.Identifier] != Cancelled {
			t.Errorf("standings = %v", got)
		}
	})
}

func TestNotForThePublic(t *testing.T) {
	alert, _, _ := surfStory(t)
	now := "2026-12-06T17:00:00Z"
	for _, tc := range []struct {
		name   string
		change func(*Message)
		want   Standing
	}{
		{"actual and public", func(*Message) {}, InForce},
		{"an exercise", func(m *Message) { m.Status = "Exercise" }, NotActual},
		{"a test", func(m *Message) { m.Status = "Test" }, NotActual},
		{"a draft", func(m *Message) { m.Status = "Draft" }, NotActual},
		{"for machines", func(m *Message) { m.Status = "System" }, NotActual},
		{"restricted", func(m *Message) { m.Scope = "Restricted" }, NotPublic},
		{"private", func(m *Message) { m.Scope = "Private" }, NotPublic},
		{"an acknowledgement", func(m *Message) { m.Type = "Ack" }, NotPublic},
		{"an error report", func(m *Message) { m.Type = "Error" }, NotPublic},
		{"no scope given", func(m *Message) { m.Scope = "" }, InForce},
		{"a scope nobody knows", func(m *Message) { m.Scope = "Everyone" }, InForce},
	} {
		j := one(t, now, nil, nil, Geocodes{}, changed(alert, tc.change))
		if j.Standing != tc.want || j.Standing.Shown() != (tc.want == InForce) {
			t.Errorf("%s: %q, shown %v, want %q", tc.name, j.Standing, j.Standing.Shown(), tc.want)
		}
	}
	if j := one(t, "2026-12-05T01:00:00Z", at(36.8, -121.9), nil, Geocodes{}, message(t, "exercise_tsunami.constructed.xml")); j.Standing.Shown() || j.Concern != conditions.Red {
		t.Errorf("exercise = %+v, want not shown, though it would be red", j)
	}
}

func TestAllClear(t *testing.T) {
	t.Run("in an update of two areas", func(t *testing.T) {
		m := message(t, "split_allclear_update.constructed.xml")
		for _, tc := range []struct {
			lat  float64
			want []string
		}{{48.5, nil}, {46.5, []string{"Wind warning in effect"}}} {
			var got []string
			for _, j := range JudgeCAP([]Message{m}, at(tc.lat, -125), ts("2026-12-06T06:30:00Z"), nil, Geocodes{}) {
				if j.Standing.Shown() && yesNo(j.Covers) != "no" {
					got = append(got, j.Headline)
				}
			}
			if !slices.Equal(got, tc.want) {
				t.Errorf("at %v: %q, want %q", tc.lat, got, tc.want)
			}
		}
	})
	alert, _, _ := surfStory(t)
	for _, tc := range []struct {
		name    string
		kind    string
		urgency string
		says    []string
		want    Standing
	}{
		{"an update that says so", "Update", "Unknown", []string{"AllClear"}, Over},
		{"an update about the past", "Update", "Past", []string{"Monitor"}, Over},
		{"an alert that says so", "Alert", "Unknown", []string{"AllClear"}, Over},
		{"with a word that asks nothing of people", "Update", "Unknown", []string{"Monitor", "AllClear"}, Over},
		{"and stay off, in one breath", "Update", "Unknown", []string{"AllClear", "Avoid"}, InForce},
		{"an alert about the past that does not say so", "Alert", "Past", []string{"Avoid"}, InForce},
	} {
		j := one(t, "2026-12-06T17:00:00Z", nil, nil, Geocodes{}, changed(alert, func(m *Message) {
			m.Type, m.Infos[0].Responses, m.Infos[0].Urgency = tc.kind, tc.says, tc.urgency
		}))
		if j.Standing != tc.want {
			t.Errorf("%s: %q, want %q", tc.name, j.Standing, tc.want)
		}
	}
}

func TestTimesOfAMessage(t *testing.T) {
	t.Run("none at all", func(t *testing.T) {
		m := message(t, "no_expires_circle_area.constructed.xml") // sent at 10:00
		for _, tc := range []struct {
			now  string
			want Standing
		}{
			{"2026-12-05T10:00:00Z", InForce}, {"2026-12-06T09:59:59Z", InForce}, {"2026-12-06T10:00:00Z", NotConfirmed},
			{"2026-12-08T09:59:59Z", NotConfirmed}, {"2026-12-08T10:00:00Z", Over},
		} {
			j := one(t, tc.now, at(37.75, -25.45), nil, Geocodes{}, m)
			if j.Standing != tc.want || !j.Until().IsZero() || yesNo(j.Covers) != "yes" {
				t.Errorf("at %s: %q until %v, want %q and no end", tc.now, j.Standing, j.Until(), tc.want)
			}
		}
	})
	alert, _, _ := surfStory(t)
	sent := alert.Sent
	for _, tc := range []struct {
		name                      string
		effective, onset, expires time.Duration // from the sending; 0 is not given
		ends                      time.Duration
		at                        time.Duration
		want                      Standing
	}{
		{"effective later and no onset", 2 * time.Hour, 0, 9 * time.Hour, 0, time.Hour, ToCome},
		{"effective and no onset", 2 * time.Hour, 0, 9 * time.Hour, 0, 3 * time.Hour, InForce},
		{"the onset counts and not effective", 2 * time.Hour, time.Hour, 9 * time.Hour, 0, 90 * time.Minute, InForce},
		{"no end, and an onset more than a day ahead: to come", 0, 30 * time.Hour, 0, 0, 29 * time.Hour, ToCome},
		{"no end: a day from the onset", 0, 30 * time.Hour, 0, 0, 53 * time.Hour, InForce},
		{"expired before it was sent is no end", 0, 0, -time.Hour, 0, 23 * time.Hour, InForce},
		{"the event's own end outlasts the message", 0, 0, 2 * time.Hour, 20 * time.Hour, 19 * time.Hour, InForce},
		{"the event's own end comes first", 0, 0, 20 * time.Hour, 2 * time.Hour, 3 * time.Hour, Over},
	} {
		m := changed(alert, func(m *Message) {
			in := &m.Infos[0]
			when := func(d time.Duration) time.Time {
				if d == 0 {
					return time.Time{}
				}
				return sent.Add(d)
			}
			in.Effective, in.Onset, in.Expires = when(tc.effective), when(tc.onset), when(tc.expires)
			if tc.ends != 0 {
				in.Parameters = []Pair{{"eventEndingTime", when(tc.ends).Format(time.RFC3339)}}
			}
		})
		if got := one(t, sent.Add(tc.at).Format(time.RFC3339), nil, nil, Geocodes{}, m).Standing; got != tc.want {
			t.Errorf("%s: %q, want %q", tc.name, got, tc.want)
		}
	}
}

// A message without an info says nothing of what and where; it stays and is not made light of.
func TestMessageWithoutInfo(t *testing.T) {
	m := decoded(t, page(plainHead+"<note>See the attached bulletin</note>"))
	j := one(t, "2026-12-05T11:00:00Z", at(1, 1), nil, Geocodes{}, m)
	if j.Standing != InForce || j.Concern != conditions.Amber || j.Covers != nil || j.Headline != "See the attached bulletin" || j.Sender != "s" {
		t.Errorf("judged = %+v, want in force, amber, not placed", j)
	}
}

// Whatever the order in which messages came, and however often, the judgement is the same.
func TestOrderOfArrival(t *testing.T) {
	const seed = 11
	rnd := rand.New(rand.NewPCG(seed, seed))
	alert, update, cancel := surfStory(t)
	base := []Message{
		alert, update, cancel, message(t, "split_allclear_update.constructed.xml"), message(t, "two_hazards_two_languages.constructed.xml"),
		message(t, "coastal_event_bilingual_onset_later.constructed.xml"), message(t, "antimeridian_swell.constructed.xml"),
		message(t, "bad_polygon_unclosed_and_lonlat_order.constructed.xml"), message(t, "exercise_tsunami.constructed.xml"), message(t, "no_expires_circle_area.constructed.xml"),
	}
	for round := range 100 {
		messages := slices.Clone(base)
		// And some made up, that take each other back at random, some with an identifier that is used again.
		for i := range 12 {
			m := changed(base[rnd.IntN(len(base))], func(m *Message) {
				m.Identifier = fmt.Sprint("made-", i*rnd.IntN(2))
				m.Sent = alert.Sent.Add(time.Duration(rnd.IntN(30)) * time.Hour)
				m.Type = types[rnd.IntN(3)]
				m.References = nil
				for range rnd.IntN(3) {
					o := messages[rnd.IntN(len(messages))]
					m.References = append(m.References, Reference{Sender: o.Sender, Identifier: o.Identifier, Sent: o.Sent})
				}
			})
			messages = append(messages, m)
		}
		now := alert.Sent.Add(time.Duration(rnd.IntN(60)) * time.Hour)
		places := at(-33.9+rnd.Float64(), 151+rnd.Float64())
		want := JudgeCAP(messages, places, now, []string{"es"}, Geocodes{})
		for range 5 {
			messages = append(messages, messages[rnd.IntN(len(messages))])
			rnd.Shuffle(len(messages), func(i, j int) { messages[i], messages[j] = messages[j], messages[i] })
			got := JudgeCAP(messages, places, now, []string{"es"}, Geocodes{})
			if a, b := sight(want), sight(got); a != b {
				t.Fatalf("seed %d, round %d: judged\n%s\nin another order\n%s", seed, round, a, b)
			}
		}
	}
}

// No two judgements that differ in what people see may be equal in order.
func TestGravestFirstIsWhole(t *testing.T) {
	base := Judged{Alert: Alert{ID: "a", Sent: ts("2026-12-05T00:00:00Z")}, Standing: InForce, Concern: conditions.Amber, Covers: new(true)}
	for name, change := range map[string]func(*Judged){
		"concern": func(j *Judged) { j.Concern = conditions.Note }, "covers": func(j *Judged) { j.Covers = nil }, "elsewhere": func(j *Judged) { j.Covers = new(false) },
		"standing": func(j *Judged) { j.Standing = ToCome }, "id": func(j *Judged) { j.ID = "b" }, "onset": func(j *Judged) { j.Onset = j.Sent },
		"sent": func(j *Judged) { j.Sent = j.Sent.Add(time.Hour) }, "sender": func(j *Judged) { j.Sender = "b" }, "event": func(j *Judged) { j.Event = "b" },
		"headline": func(j *Judged) { j.Headline = "b" }, "text": func(j *Judged) { j.Text = "b" }, "area": func(j *Judged) { j.Area = "b" },
		"expires": func(j *Judged) { j.Expires = j.Sent }, "ends": func(j *Judged) { j.Ends = j.Sent }, "type": func(j *Judged) { j.MessageType = "Cancel" },
	} {
		other := base
		change(&other)
		if a, b := gravestFirst(base, other), gravestFirst(other, base); a == 0 || a != -b {
			t.Errorf("%s: order %d one way, %d the other, want one before the other", name, a, b)
		}
	}
	if gravestFirst(base, base) != 0 {
		t.Error("a judgement is not equal to itself")
	}
}

// sight is all that people see of a judgement.
func sight(list []Judged) string {
	var b strings.Builder
	for _, j := range list {
		fmt.Fprintln(&b, j.ID, j.Standing, j.Concern, yesNo(j.Covers), j.Sent, j.Onset, j.Until(), j.Event, j.Headline, j.Area)
	}
	return b.String()
}

func TestJudgeCAPLeavesItsInputAlone(t *testing.T) {
	m := message(t, "two_hazards_two_languages.constructed.xml")
	m.Infos = append(m.Infos, m.Infos...)
	before := fmt.Sprintf("%+v", m)
	JudgeCAP([]Message{m}, at(38.5, -9), ts("2026-12-05T12:00:00Z"), []string{"pt"}, Geocodes{})
	if after := fmt.Sprintf("%+v", m); after != before {
		t.Errorf("the message was changed:\n%s\n%s", before, after)
	}
}

// The update of a real service whose references are to itself, in three languages, saying that all is clear.
func TestRecordedAllClear(t *testing.T) {
	m := decoded(t, recordedCAP(t, "mo_monsoon_allclear_self_reference_2025.xml"))
	for lang, want := range map[string]string{"pt": "VENTOS FORTES DE MONÇÃO", "zh-MO": "強烈季候風信號", "en": "STRONG MONSOON SIGNAL", "fr": "STRONG MONSOON SIGNAL"} {
		j := one(t, "2025-04-12T22:30:00Z", at(22.15, 113.6), []string{lang}, Geocodes{}, m)
		if j.Standing != Over || j.Event != want || yesNo(j.Covers) != "yes" || j.Concern != conditions.Amber {
			t.Errorf("%s: %q %q %s %s, want %q over, here, amber", lang, j.Standing, j.Event, yesNo(j.Covers), j.Concern, want)
		}
	}
	live := changed(m, func(m *Message) {
		for i := range m.Infos {
			m.Infos[i].Responses, m.Infos[i].Urgency = []string{"Monitor"}, "Immediate"
		}
	})
	if j := one(t, "2025-04-12T22:30:00Z", nil, nil, Geocodes{}, live); j.Standing != InForce {
		t.Errorf("the same without the all-clear: %q, want in force: it does not take itself back", j.Standing)
	}
}

// A tsunami update whose reference names its sender otherwise than the message does.
func TestRecordedTsunami(t *testing.T) {
	update := decoded(t, recordedCAP(t, "us_tsunami_update_2011.xml"))
	first := changed(update, func(m *Message) {
		m.Identifier, m.Sent, m.Type, m.References = "PAAQ-1-lqw6d6", ts("2011-09-02T10:55:55Z"), "Alert", nil
	})
	got := JudgeCAP([]Message{first, update}, at(52, -175), ts("2011-09-02T12:00:00Z"), nil, Geocodes{Here: []Pair{{"UGC", "AKZ187"}}})
	if len(got) != 2 || got[0].ID != first.Identifier || got[0].Standing != Replaced || got[1].Standing != InForce || got[1].Concern != conditions.Red || yesNo(got[1].Covers) != "yes" {
		t.Errorf("judged = %s, want the first replaced, the second red, in force, here", sight(got))
	}
}

func TestRecordedOthers(t *testing.T) {
	for _, tc := range []struct {
		file, now string
		lat, lon  float64
		want      string
	}{
		{"us_thunderstorm_oasis_appendix.xml", "2003-06-17T22:00:00Z", 38.5, -120, "in force SEVERE THUNDERSTORM yes amber"},
		{"us_thunderstorm_oasis_appendix.xml", "2003-06-17T22:00:00Z", 40, -120, "in force SEVERE THUNDERSTORM no amber"},
		{"us_flashflood_cap11_2010.xml", "2010-08-30T11:00:00Z", 47, -112, "in force Flash Flood Watch not known note"},
		{"au_prefixed_namespace_2011.xml", "2011-10-05T14:00:00Z", -35.4, 147.1, "in force Fire yes note"},
		{"au_prefixed_namespace_2011.xml", "2011-10-06T14:30:00Z", -33, 151, "over Fire no note"},
	} {
		j := one(t, tc.now, at(tc.lat, tc.lon), nil, Geocodes{}, decoded(t, recordedCAP(t, tc.file)))
		if got := fmt.Sprint(j.Standing, " ", j.Event, " ", yesNo(j.Covers), " ", j.Concern); got != tc.want {
			t.Errorf("%s at %s = %s, want %s", tc.file, tc.now, got, tc.want)
		}
	}
}
