package session_test

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"ledgehand/session"
)

// The layout of what is stored: whoever changes these values makes every stored crew unreachable. The shards are
// CRC-32 (IEEE) of the id, modulo 64, worked out with another implementation (zlib).
func TestStoredLayoutNeverChanges(t *testing.T) {
	if session.Shards != 64 {
		t.Fatalf("Shards = %d, want 64 for ever", session.Shards)
	}
	for _, tt := range []struct {
		chat  int64
		crew  session.CrewID
		shard session.Shard
	}{
		{-1001234567890, "gcryl7kya", 52},
		{-500, "gdw", 11},
		{-1, "g1", 37},
		{1, "p1", 51},
		{11, "pb", 61},
		{5000000000, "p2aovcow", 47},
		{4503599627370495, "p18ce53un18f", 61}, // 52 bits
	} {
		if got := session.CrewOf(tt.chat); got != tt.crew {
			t.Errorf("CrewOf(%d) = %q, want %q", tt.chat, got, tt.crew)
		}
		if got := tt.crew.Shard(); got != tt.shard {
			t.Errorf("CrewID(%q).Shard() = %d, want %d", tt.crew, got, tt.shard)
		}
		if got := session.ShardOfChat(tt.chat); got != tt.shard {
			t.Errorf("ShardOfChat(%d) = %d, want %d", tt.chat, got, tt.shard)
		}
	}
}

func TestShardsAreAllUsedAndEvenly(t *testing.T) {
	var n [session.Shards]int
	const each = 200
	for i := range int64(each * session.Shards) {
		n[session.ShardOfChat(-1001000000000-i*7)]++
	}
	if low, high := slices.Min(n[:]), slices.Max(n[:]); low < each/2 || high > 2*each {
		t.Errorf("groups a shard: %d to %d, want about %d", low, high, each)
	}
}

func TestQuestion(t *testing.T) {
	const group = -500
	var c session.Crew
	c.Ask(session.Pending{Who: ana, Chat: group, What: "back_by", At: noon})
	c.Ask(session.Pending{Who: bram, Chat: group, What: "zone", At: noon})
	c.Ask(session.Pending{Who: ana, Chat: ana, What: "phone", At: noon})
	ask := func(who, chat int64, at time.Time) string {
		p, ok := c.Question(who, chat, at)
		if ok != (p.What != "") {
			t.Errorf("Question(%d, %d) = %+v, %v: found and not", who, chat, p, ok)
		}
		return p.What
	}
	for _, tt := range []struct {
		name      string
		who, chat int64
		at        time.Time
		want      string
	}{
		{"Asked", ana, group, noon.Add(time.Minute), "back_by"},
		{"AskedElsewhere", ana, ana, noon.Add(time.Minute), "phone"},
		{"AskedOfAnother", bram, group, noon.Add(time.Minute), "zone"},
		{"NeverAsked", mo, group, noon, ""},
		{"StillOpen", ana, group, noon.Add(session.PendingLasts - time.Nanosecond), "back_by"},
		{"Expired", ana, group, noon.Add(session.PendingLasts), ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if got := ask(tt.who, tt.chat, tt.at); got != tt.want {
				t.Errorf("Question(%d, %d, %v) = %q, want %q", tt.who, tt.chat, tt.at, got, tt.want)
			}
		})
	}

	before := c
	c.Ask(session.Pending{Who: ana, Chat: group, What: "ledge", At: noon.Add(time.Minute)})
	if got := ask(ana, group, noon.Add(2*time.Minute)); got != "ledge" || len(c.Pending) != 3 {
		t.Errorf("Question() after a newer one = %q of %d, want ledge alone", got, len(c.Pending))
	}
	if p, _ := before.Question(ana, group, noon); p.What != "back_by" {
		t.Errorf("an earlier copy now asks %q, want it unchanged", p.What)
	}
	c.Answered(ana, group)
	if got := ask(ana, group, noon.Add(2*time.Minute)); got != "" {
		t.Errorf("Question() once answered = %q, want none", got)
	}
	if got := ask(bram, group, noon.Add(2*time.Minute)); got != "zone" {
		t.Errorf("Question() of another = %q, want it still open", got)
	}
}

func ledges() session.Crew {
	return session.Crew{Ledges: []session.Ledge{
		{Name: "Anvil", Aliases: []string{"the anvil", "Anvil Rock"}},
		{Name: "Long Step", Aliases: []string{"steps"}},
		{Name: "Long Step North"},
		{Name: "St. Elmo"},
	}}
}

func TestLedgeNamed(t *testing.T) {
	c := ledges()
	for _, tt := range []struct{ said, want string }{
		{"Anvil", "Anvil"}, {"anvil", "Anvil"}, {"  ANVIL ", "Anvil"},
		{"the  Anvil", "Anvil"}, {"anvil rock", "Anvil"},
		{"an", "Anvil"}, // name and alias of one ledge begin so: still one ledge
		{"anvil r", "Anvil"}, {"ste", "Long Step"}, {"long step", "Long Step"}, {"long step n", "Long Step North"},
		{"st.", "St. Elmo"},
		{"long", ""}, // two begin so: never guessed
		{"l", ""}, {"step", "Long Step"}, {"nvil", ""}, {"Anvil Rocks", ""}, {"", ""}, {"  ", ""},
	} {
		l, ok := c.LedgeNamed(tt.said)
		if l.Name != tt.want || ok != (tt.want != "") {
			t.Errorf("LedgeNamed(%q) = %q, %v, want %q", tt.said, l.Name, ok, tt.want)
		}
	}
}

func TestLedgeIn(t *testing.T) {
	c := ledges()
	for _, tt := range []struct{ line, want, rest string }{
		{"Anvil back 9am", "Anvil", "back 9am"},
		{"back 9am anvil", "Anvil", "back 9am"},
		{"out on ANVIL, back 9am", "Anvil", "out on back 9am"},
		{"how is Anvil?", "Anvil", "how is"},
		{"the anvil rock  tomorrow", "Anvil", "rock tomorrow"}, // "the anvil" is found first, both are two words
		{"long step north sat", "Long Step North", "sat"},
		{"long step sat north", "Long Step", "sat north"},
		{"steps: sat", "Long Step", "sat"},
		{"St. Elmo 6pm", "St. Elmo", "6pm"}, {"st elmo 6pm", "St. Elmo", "6pm"},
		{"an 9am", "", "an 9am"}, // only whole names stand in a line
		{"anvils 9am", "", "anvils 9am"},
		{"long 9am step", "", "long 9am step"},
		{"", "", ""},
	} {
		l, rest, ok := c.LedgeIn(tt.line)
		if l.Name != tt.want || rest != tt.rest || ok != (tt.want != "") {
			t.Errorf("LedgeIn(%q) = %q, %q, %v, want %q, %q", tt.line, l.Name, rest, ok, tt.want, tt.rest)
		}
	}
}

func TestPutLedgeKeepsWhatWasLearned(t *testing.T) {
	c := ledges()
	c.Ledges[0].Observed = []session.Observed{{K: 2, Minutes: 20}}
	before := c
	c.PutLedge(session.Ledge{Name: "ANVIL", Card: json.RawMessage(`{"lip":4}`)})
	got, ok := c.LedgeNamed("anvil")
	if !ok || len(c.Ledges) != 4 || string(got.Card) != `{"lip":4}` || len(got.Observed) != 1 || len(got.Aliases) != 2 {
		t.Errorf("PutLedge() of a known one = %+v of %d, want the new card with aliases and what was learned", got, len(c.Ledges))
	}
	if before.Ledges[0].Card != nil {
		t.Error("PutLedge() changed an earlier copy")
	}
	c.PutLedge(session.Ledge{Name: "Anvil", Observed: []session.Observed{}, Aliases: []string{}})
	if got, _ := c.LedgeNamed("anvil"); len(got.Observed) != 0 || len(got.Aliases) != 0 {
		t.Errorf("PutLedge() with empty lists = %+v, want them emptied", got)
	}
	c.PutLedge(session.Ledge{Name: "Far Point"})
	if _, ok := c.LedgeNamed("far point"); !ok || len(c.Ledges) != 5 {
		t.Errorf("PutLedge() of a new one leaves %d ledges, want 5", len(c.Ledges))
	}
}

func TestSaw(t *testing.T) {
	var c session.Crew
	for _, tt := range []struct {
		name string
		id   int64
		said string
		want bool
	}{
		{"NewPerson", ana, "Ana", true}, {"TheSameAgain", ana, "Ana", false}, {"ANewName", ana, "Ana B", true},
		{"AnotherPerson", bram, "Bram", true}, {"NoPerson", 0, "Channel", false},
	} {
		before := c
		n := len(before.Members)
		if got := c.Saw(tt.id, tt.said, noon); got != tt.want {
			t.Errorf("%s: Saw(%d, %q) = %v, want %v", tt.name, tt.id, tt.said, got, tt.want)
		}
		if len(before.Members) != n || (n > 0 && before.Members[0].Name == "Ana B" && tt.name == "ANewName") {
			t.Errorf("%s: Saw() changed an earlier copy", tt.name)
		}
	}
	if m, ok := c.Member(ana); !ok || m.Name != "Ana B" || len(c.Members) != 2 {
		t.Errorf("Member() = %+v, %v of %d, want Ana B of 2", m, ok, len(c.Members))
	}
	if _, ok := c.Member(mo); ok {
		t.Error("Member() finds somebody who never spoke")
	}
}

func TestNamedOnlyWhenJustOneFits(t *testing.T) {
	c := session.Crew{Members: []session.Member{{ID: 1, Name: "Ana"}, {ID: 2, Name: "Bram"}, {ID: 3, Name: "bram"}}}
	if m, ok := c.Named("ANA"); !ok || m.ID != 1 {
		t.Errorf("Named(ANA) = %+v, %v, want Ana", m, ok)
	}
	for _, n := range []string{"Bram", "An", ""} {
		if m, ok := c.Named(n); ok {
			t.Errorf("Named(%q) = %+v, want nobody", n, m)
		}
	}
}

func TestHoldersOfKeepTheirOrder(t *testing.T) {
	c := session.Crew{Holders: []session.Holder{{Of: ana, ID: mo}, {Of: bram, ID: 3}, {Of: ana, ID: 4}}}
	var got []int64
	for _, h := range c.HoldersOf(ana) {
		got = append(got, h.ID)
	}
	if !slices.Equal(got, []int64{mo, 4}) || len(c.HoldersOf(99)) != 0 {
		t.Errorf("HoldersOf() = %v, %v, want %v in that order and none of a stranger", got, c.HoldersOf(99), []int64{mo, 4})
	}
}

func TestPersonsCrewsNewestFirst(t *testing.T) {
	var p session.Person
	for _, tt := range []struct {
		crew session.CrewID
		news bool
		want []session.CrewID
	}{
		{"g1", true, []session.CrewID{"g1"}}, {"g1", false, []session.CrewID{"g1"}},
		{"g2", true, []session.CrewID{"g2", "g1"}}, {"g1", true, []session.CrewID{"g1", "g2"}},
	} {
		if news := p.In(tt.crew); news != tt.news || !slices.Equal(p.Crews, tt.want) {
			t.Errorf("In(%q) = %v, crews %v, want %v, %v", tt.crew, news, p.Crews, tt.news, tt.want)
		}
	}
}

// Invitations and holders are part of the crew's record and come back as they were.
func TestInvitesAreStored(t *testing.T) {
	b := open(t)
	inv := session.Invite{Token: "tok", Of: ana, Name: "Ana", Made: noon}
	b.do("u1", noon, func(tx *session.Tx) error {
		c, _, err := tx.LoadCrew()
		if err != nil {
			return err
		}
		c.Invites = append(c.Invites, inv)
		c.Holders = append(c.Holders, session.Holder{Of: ana, ID: mo, Name: "Mo", Chat: mo, Accepted: noon})
		return tx.PutCrew(c)
	})
	c := b.crew()
	if len(c.Invites) != 1 || c.Invites[0] != inv || c.Invites[0].Taken != 0 {
		t.Errorf("stored invites = %+v, want %+v, not taken", c.Invites, inv)
	}
	if h := c.HoldersOf(ana); len(h) != 1 || h[0].Name != "Mo" || !h[0].Accepted.Equal(noon) {
		t.Errorf("stored holders = %+v, want Mo", h)
	}
}
