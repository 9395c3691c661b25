package session

import (
	"encoding/json"
	"hash/crc32"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/session/catch"
	"ledgehand/session/outing"
)

// CrewID names a crew: the group, or the private chat, in which it was first met. It stays the
// same when a chat service gives the chat another id, so that nothing of the crew has to move.
type CrewID string

// CrewOf is the id of the crew first met in a chat.
func CrewOf(chat int64) CrewID {
	if chat < 0 {
		return CrewID("g" + strconv.FormatInt(-chat, 36))
	}
	return CrewID("p" + strconv.FormatInt(chat, 36))
}

// Valid says whether an id has the shape of one that CrewOf gives. Others come from made-up links and buttons.
func (c CrewID) Valid() bool {
	if len(c) < 2 || len(c) > 14 || c[0] != 'g' && c[0] != 'p' || c[1] == '0' {
		return false
	}
	_, err := strconv.ParseInt(string(c[1:]), 36, 64)
	return err == nil && strings.IndexFunc(string(c[1:]), func(r rune) bool { return !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z') }) < 0
}

// ValidID says whether a record's id within a crew has the shape of one: at most 24 letters, digits and hyphens.
func ValidID(id string) bool {
	return len(id) <= 24 && strings.IndexFunc(id, func(r rune) bool {
		return !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '-')
	}) < 0
}

// Shard is where all of the crew lives.
func (c CrewID) Shard() Shard { return shardOf(string(c)) }

// ShardOfChat is where the letters of a chat are taken in.
func ShardOfChat(chat int64) Shard { return CrewOf(chat).Shard() }

// shardOf spreads ids over the shards. It is part of the stored layout: never change it.
func shardOf(s string) Shard { return Shard(crc32.ChecksumIEEE([]byte(s)) % Shards) }

// Crew is a group of mates, or one lone angler: settings, ledges, who holds whose plan, what is going on.
type Crew struct {
	V        int          `json:"v"`
	ID       CrewID       `json:"id"`
	Chat     int64        `json:"chat"` // its present id with the chat service
	Thread   int          `json:"thread,omitempty"`
	Group    bool         `json:"group,omitempty"`
	Title    string       `json:"title,omitempty"`
	Units    string       `json:"units,omitempty"` // metric, imperial
	Zone     string       `json:"zone,omitempty"`  // IANA; "" until a ledge or a setting gives one
	Language string       `json:"language,omitempty"`
	Area     string       `json:"area,omitempty"` // for fish names, e.g. US-CA
	Members  []Member     `json:"members,omitempty"`
	Ledges   []Ledge      `json:"ledges,omitempty"`
	Holders  []Holder     `json:"holders,omitempty"`
	Invites  []Invite     `json:"invites,omitempty"`
	Rules    []catch.Rule `json:"rules,omitempty"`
	Trips    []string     `json:"trips,omitempty"`   // open ones, oldest first
	Votes    []string     `json:"votes,omitempty"`   // open ones, oldest first
	Outings  []string     `json:"outings,omitempty"` // open ones
	Watches  []string     `json:"watches,omitempty"` // running ones
	Pending  []Pending    `json:"pending,omitempty"` // questions we wait for an answer to

	FishNames map[string]string `json:"fish_names,omitempty"` // which species a name means here, where it might mean several: name folded -> species id
	FishSeen  []string          `json:"fish_seen,omitempty"`  // species whose scientific name was shown: once is enough

	Tally  *Tally         `json:"tally,omitempty"`  // how what was caught is summed up; nil: as usual
	Ladder *outing.Ladder `json:"ladder,omitempty"` // when who is told of the late; nil: as usual
	Edit   string         `json:"edit,omitempty"`   // who may change ledges and limits: EditAdmins, or "" for all
	Number *Number        `json:"number,omitempty"` // whom to call where a ledge's card does not say
	Quiet  *Quiet         `json:"quiet,omitempty"`  // hours in which what is not urgent makes no sound
	Shares []LedgeShare   `json:"shares,omitempty"` // links by which a ledge's card is taken over
	Met    time.Time      `json:"met"`
	Gone   time.Time      `json:"gone,omitzero"` // we were removed from the chat
}

// Member is somebody who spoke in the crew's chat.
type Member struct {
	ID    int64     `json:"id"`
	Name  string    `json:"name"`
	Phone string    `json:"phone,omitempty"`
	Car   string    `json:"car,omitempty"`
	Wears string    `json:"wears,omitempty"` // lifejacket and clothing, by colour, as rescuers look for it
	Seen  time.Time `json:"seen"`
	Named bool      `json:"named,omitempty"` // they want their name in exported catches
}

// Tally is what a crew chose about what it caught over time.
type Tally struct {
	Season  int       `json:"season,omitempty"`  // the month in which a season begins, 0: January
	Counts  bool      `json:"counts,omitempty"`  // how many each, by name
	By      string    `json:"by,omitempty"`      // the one comparison: tide, light
	Since   time.Time `json:"since,omitzero"`    // trips count in it from then on; zero: all
	Licence string    `json:"licence,omitempty"` // of exports
	Salt    string    `json:"salt,omitempty"`    // makes numbers in exports that lead back to nobody
}

// Ledge is one of the crew's ledges. Card is a ledge card as JSON; this package does not look inside.
type Ledge struct {
	Name     string          `json:"name"`
	Aliases  []string        `json:"aliases,omitempty"`
	Card     json.RawMessage `json:"card"`
	Observed []Observed      `json:"observed,omitempty"` // what watches and reports taught
	Near     []NearMiss      `json:"near,omitempty"`     // oldest first
	Notes    []LedgeNote     `json:"notes,omitempty"`    // oldest first
	Photo    *LedgePhoto     `json:"photo,omitempty"`
	From     string          `json:"from,omitempty"` // who shared its card with us
	By       string          `json:"by,omitempty"`
	At       time.Time       `json:"at"`
}

// Observed is one watch or report of a ledge: k waves that would have reached the feet in so many minutes,
// in a sea forecast as given.
type Observed struct {
	At      time.Time `json:"at"`
	By      string    `json:"by,omitempty"`
	K       int       `json:"k"`
	Minutes float64   `json:"minutes"`
	Hs      float64   `json:"hs"`               // m, at the foot of the ledge
	Tz      float64   `json:"tz"`               // s
	Rc      float64   `json:"rc"`               // freeboard, m
	From    *float64  `json:"from,omitempty"`   // where the swell came from, degrees true; nil: not known
	Period  float64   `json:"period,omitempty"` // peak period, s; 0: not known

	Report string         `json:"report,omitempty"` // the outing whose people told it afterwards: K is the least it can have been
	Spans  []ObservedSpan `json:"spans,omitempty"`  // of a report: its hours; the sea above is that of the first
}

// ObservedSpan is a time in one sea and one water, as Observed.
type ObservedSpan struct {
	Minutes float64  `json:"minutes"`
	Hs      float64  `json:"hs"`
	Tz      float64  `json:"tz"`
	Rc      float64  `json:"rc"`
	From    *float64 `json:"from,omitempty"`
}

// Holder is a shore contact of one member: somebody who accepted to hold their plans.
type Holder struct {
	Of       int64     `json:"of"` // the member
	ID       int64     `json:"id"`
	Name     string    `json:"name"`
	Chat     int64     `json:"chat"`
	Accepted time.Time `json:"accepted"`
	Language string    `json:"language,omitempty"` // what they read
	Mail     string    `json:"mail,omitempty"`     // the address of one who is written to by mail
}

// Invite is a link that makes its first taker a shore contact, once.
type Invite struct {
	Token string    `json:"token"`
	Of    int64     `json:"of"`
	Name  string    `json:"name"`
	Made  time.Time `json:"made"`
	Taken int64     `json:"taken,omitempty"` // who said yes or no to it
	Ended time.Time `json:"ended,omitzero"`  // a newer link took its place
	Told  time.Time `json:"told,omitzero"`   // the member knows that somebody came too late
}

// Open says whether an invitation can still be taken up.
func (i Invite) Open(now time.Time) bool {
	return i.Taken == 0 && i.Ended.IsZero() && now.Sub(i.Made) <= InviteLasts
}

// InviteLasts is how long an invitation can be taken up; for InviteKept we know it again, so that whoever comes too late
// and whoever waits for them can be told.
const (
	InviteLasts = 7 * 24 * time.Hour
	InviteKept  = 14 * 24 * time.Hour
)

// Pending is a question we asked somebody; their next line in that chat answers it.
type Pending struct {
	Who  int64             `json:"who"`
	Chat int64             `json:"chat"`
	What string            `json:"what"` // which question
	Args map[string]string `json:"args,omitempty"`
	At   time.Time         `json:"at"`
}

// PendingLasts is how long a question stays open; after that a line is just a line.
const PendingLasts = 30 * time.Minute

// crewVersion is the stored form.
const crewVersion = 1

// Invited finds an invitation by its token, open or not.
func (c *Crew) Invited(token string) (Invite, bool) {
	i := slices.IndexFunc(c.Invites, func(i Invite) bool { return i.Token == token })
	if i < 0 || token == "" {
		return Invite{}, false
	}
	return c.Invites[i], true
}

// SetInvite changes one that there is.
func (c *Crew) SetInvite(to Invite) {
	c.Invites = slices.Clone(c.Invites)
	for i := range c.Invites {
		if c.Invites[i].Token == to.Token {
			c.Invites[i] = to
		}
	}
}

// Invite adds an invitation. It ends the member's older ones; what nobody would know again is forgotten.
func (c *Crew) Invite(to Invite) {
	c.Invites = slices.DeleteFunc(slices.Clone(c.Invites), func(i Invite) bool { return to.Made.Sub(i.Made) > InviteKept })
	for i := range c.Invites {
		if x := &c.Invites[i]; x.Of == to.Of && x.Open(to.Made) {
			x.Ended = to.Made
		}
	}
	c.Invites = append(c.Invites, to)
}

// Ask notes a question; an older one to the same person in the same chat is forgotten, and so is what nobody answered.
func (c *Crew) Ask(p Pending) {
	c.Answered(p.Who, p.Chat)
	c.Pending = slices.DeleteFunc(c.Pending, func(x Pending) bool { return p.At.Sub(x.At) >= PendingLasts })
	c.Pending = append(c.Pending, p)
}

// Question is what we last asked somebody in a chat, if it is still open.
func (c *Crew) Question(who, chat int64, now time.Time) (Pending, bool) {
	i := slices.IndexFunc(c.Pending, func(p Pending) bool { return p.Who == who && p.Chat == chat && now.Sub(p.At) < PendingLasts })
	if i < 0 {
		return Pending{}, false
	}
	return c.Pending[i], true
}

// Answered forgets the question to somebody in a chat.
func (c *Crew) Answered(who, chat int64) {
	c.Pending = slices.DeleteFunc(slices.Clone(c.Pending), func(p Pending) bool { return p.Who == who && p.Chat == chat })
}

// MostMembers bounds what a crew's record holds of a group too large to be one: whoever speaks first is known.
const MostMembers = 400

// Saw notes that somebody spoke; it reports whether that is news worth storing.
func (c *Crew) Saw(id int64, name string, now time.Time) bool {
	if id == 0 {
		return false
	}
	i := slices.IndexFunc(c.Members, func(m Member) bool { return m.ID == id })
	if i < 0 && len(c.Members) >= MostMembers {
		return false
	}
	if i < 0 {
		c.Members = append(slices.Clone(c.Members), Member{ID: id, Name: name, Seen: now})
		return true
	}
	if c.Members[i].Name == name {
		return false
	}
	c.Members = slices.Clone(c.Members)
	c.Members[i].Name, c.Members[i].Seen = name, now
	return true
}

// Member finds somebody by id.
func (c *Crew) Member(id int64) (Member, bool) {
	i := slices.IndexFunc(c.Members, func(m Member) bool { return m.ID == id })
	if i < 0 {
		return Member{}, false
	}
	return c.Members[i], true
}

// Named finds a member by the name people call them, the whole or the first word of it, if just one fits.
func (c *Crew) Named(name string) (Member, bool) {
	var whole, first []Member
	for _, m := range c.Members {
		if strings.EqualFold(m.Name, name) {
			whole = append(whole, m)
		}
		if f, _, more := strings.Cut(m.Name, " "); more && strings.EqualFold(f, name) {
			first = append(first, m)
		}
	}
	switch {
	case len(whole) == 1:
		return whole[0], true
	case len(whole) == 0 && len(first) == 1:
		return first[0], true
	}
	return Member{}, false
}

// HoldersOf lists the shore contacts of a member, in the order they accepted.
func (c *Crew) HoldersOf(id int64) []Holder {
	var out []Holder
	for _, h := range c.Holders {
		if h.Of == id {
			out = append(out, h)
		}
	}
	return out
}

// LedgeNamed finds a ledge by name or alias, by a unique beginning of one, case aside.
func (c *Crew) LedgeNamed(s string) (Ledge, bool) {
	s = strings.ToLower(strings.Join(strings.Fields(s), " "))
	if s == "" {
		return Ledge{}, false
	}
	var begun []Ledge
	for _, l := range c.Ledges {
		starts := false
		for _, n := range append([]string{l.Name}, l.Aliases...) {
			switch n = strings.ToLower(n); {
			case n == s:
				return l, true
			case strings.HasPrefix(n, s):
				starts = true
			}
		}
		if starts { // once, though its name and an alias may both begin so
			begun = append(begun, l)
		}
	}
	if len(begun) == 1 {
		return begun[0], true
	}
	return Ledge{}, false
}

// LedgeIn finds the ledge a line speaks of: the longest name or alias that stands in it as whole words.
// rest is the line without it.
func (c *Crew) LedgeIn(line string) (l Ledge, rest string, ok bool) {
	words := strings.Fields(line)
	best := 0
	for _, cand := range c.Ledges {
		for _, n := range append([]string{cand.Name}, cand.Aliases...) {
			nw := strings.Fields(n)
			if len(nw) <= best || len(nw) == 0 {
				continue
			}
			for i := 0; i+len(nw) <= len(words); i++ {
				if slices.EqualFunc(words[i:i+len(nw)], nw, func(a, b string) bool { return bare(a) == bare(b) }) {
					best, l, ok = len(nw), cand, true
					rest = strings.Join(append(slices.Clone(words[:i]), words[i+len(nw):]...), " ")
					break
				}
			}
		}
	}
	if !ok {
		return Ledge{}, line, false
	}
	return l, rest, true
}

// bare is a word of a line without what stands around it in a sentence, in lower case.
func bare(word string) string { return strings.ToLower(strings.Trim(word, ",.;:!?")) }

// LedgeMeant is LedgeIn for crews with one ledge too: they need not name it.
func (c *Crew) LedgeMeant(line string) (l Ledge, rest string, ok bool) {
	if l, rest, ok = c.LedgeIn(line); !ok && len(c.Ledges) == 1 {
		return c.Ledges[0], line, true
	}
	return l, rest, ok
}

// PutLedge adds or replaces a ledge by name; what was learned of it stays.
func (c *Crew) PutLedge(l Ledge) {
	c.Ledges = slices.Clone(c.Ledges)
	i := slices.IndexFunc(c.Ledges, func(x Ledge) bool { return strings.EqualFold(x.Name, l.Name) })
	if i < 0 {
		c.Ledges = append(c.Ledges, l)
		return
	}
	if l.Observed == nil {
		l.Observed = c.Ledges[i].Observed
	}
	if l.Near == nil {
		l.Near = c.Ledges[i].Near
	}
	if l.Aliases == nil {
		l.Aliases = c.Ledges[i].Aliases
	}
	if l.Notes == nil {
		l.Notes = c.Ledges[i].Notes
	}
	if l.Photo == nil {
		l.Photo = c.Ledges[i].Photo
	}
	if l.From == "" {
		l.From = c.Ledges[i].From
	}
	c.Ledges[i] = l
}

// Person is what we know of somebody across crews. It lives in the shard of their private chat.
type Person struct {
	V       int       `json:"v"`
	ID      int64     `json:"id"`
	Name    string    `json:"name"`
	Private bool      `json:"private,omitempty"` // they pressed Start: we may write to them
	Crews   []CrewID  `json:"crews,omitempty"`   // newest first
	Crew    CrewID    `json:"crew,omitempty"`    // the one they chose for what they write in private
	Left    []CrewID  `json:"left,omitempty"`    // crews they left; an outing of theirs may be open there
	Holds   []Hold    `json:"holds,omitempty"`   // whose plans they hold
	Seen    time.Time `json:"seen"`
	Order   []int64   `json:"order,omitempty"` // ids of their shore contacts, in the order in which they are alarmed; others follow

	Language string `json:"language,omitempty"` // what they read, when they last wrote
	Chosen   bool   `json:"chosen,omitempty"`   // they chose it here: what their Telegram speaks does not change it

	Groups []time.Time `json:"groups,omitempty"` // when they added us to groups that were new to us, of late
}

// Hold is one person's plans held for them.
type Hold struct {
	Crew CrewID `json:"crew"`
	Of   int64  `json:"of"`
	Name string `json:"name"`
}

// Reads notes what language somebody reads; it reports whether that is news. What they chose themselves stands.
func (p *Person) Reads(language string) bool {
	if language == "" || p.Chosen || p.Language == language {
		return false
	}
	p.Language = language
	return true
}

// mostCrews bounds in how many crews somebody is known, for all of them are read when they write in private.
const mostCrews = 30

// In notes that somebody belongs to a crew, newest first; it reports whether that is news.
func (p *Person) In(c CrewID) bool {
	if len(p.Crews) > 0 && p.Crews[0] == c {
		return false
	}
	p.Left = slices.DeleteFunc(slices.Clone(p.Left), func(x CrewID) bool { return x == c })
	rest := slices.DeleteFunc(slices.Clone(p.Crews), func(x CrewID) bool { return x == c })
	p.Crews = append([]CrewID{c}, rest[:min(len(rest), mostCrews-1)]...)
	return true
}
