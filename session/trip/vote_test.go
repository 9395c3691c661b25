package trip

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"
	"time"
)

func ballot(t testing.TB) Vote {
	t.Helper()
	day := func(n int) Option {
		return Option{Ledge: "Anvil", Start: start.AddDate(0, 0, n), End: end.AddDate(0, 0, n), Zone: "UTC", Capacity: 2, Dark: true, Sea: Sea{Hs: 1, Verdict: "could be washed", At: t0}}
	}
	v, err := NewVote(Vote{ID: "v1", Crew: "g1", Chat: -500, By: ana, ByName: "Ana", PlanB: Home, Options: []Option{day(0), day(1), day(2)}}, t0)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func castAll(t testing.TB, v Vote, events ...VoteEvent) Vote {
	t.Helper()
	for _, e := range events {
		var err error
		if v, err = v.Apply(e, t0); err != nil {
			t.Fatalf("Apply(%#v) = %v", e, err)
		}
	}
	return v
}

func TestNewVote(t *testing.T) {
	opt := func(ledge string, from, to time.Duration) Option {
		return Option{Ledge: ledge, Start: t0.Add(from), End: t0.Add(to)}
	}
	a, b := opt("Anvil", time.Hour, 2*time.Hour), opt("Long Step", time.Hour, 2*time.Hour)
	many := []Option{}
	for i := range MostOptions + 1 {
		many = append(many, opt("Anvil", time.Duration(i+1)*time.Hour, time.Duration(i+2)*time.Hour))
	}
	for _, tt := range []struct {
		name string
		opts []Option
		want error
	}{
		{"Two", []Option{a, b}, nil},
		{"None", nil, ErrFew},
		{"One", []Option{a}, ErrFew},
		{"AsManyAsItTakes", many[:MostOptions], nil},
		{"OneTooMany", many, ErrMany},
		{"Twice", []Option{a, b, a}, ErrTwice},
		{"EndBeforeStart", []Option{a, opt("Anvil", 3*time.Hour, 2*time.Hour)}, ErrTimes},
		{"Begun", []Option{a, opt("Anvil", 0, time.Hour)}, ErrOver},
	} {
		t.Run(tt.name, func(t *testing.T) {
			if _, err := NewVote(Vote{Options: tt.opts}, t0); !errors.Is(err, tt.want) {
				t.Errorf("NewVote() = %v, want %v", err, tt.want)
			}
		})
	}
}

func TestVoting(t *testing.T) {
	v := castAll(t, ballot(t), Cast{ana, "Ana", 0}, Cast{bram, "Bram", 0}, Cast{bram, "Bram", 1}, Cast{ana, "Ana", 0}, Cast{chidi, "Chidi", 2}, Cast{chidi, "Chidi", NoOption})
	if !slices.Equal(v.Options[0].For, []Voter{{bram, "Bram"}}) || !slices.Equal(v.Options[1].For, []Voter{{bram, "Bram"}}) || len(v.Options[2].For) != 0 || !slices.Equal(v.None, []Voter{{chidi, "Chidi"}}) {
		t.Errorf("the votes are %+v, none %v", v.Options, v.None)
	}
	v = castAll(t, v, Cast{chidi, "Chidi", 1})
	if len(v.None) != 0 || len(v.Options[1].For) != 2 {
		t.Errorf("who could after all is in %v and none %v", v.Options[1].For, v.None)
	}
	for _, bad := range []VoteEvent{Cast{ana, "Ana", 3}, Cast{ana, "Ana", -2}, SeaOf{make([]Sea, 2)}, Take{3, "t2"}, Take{-1, "t2"}, Take{0, ""}} {
		if _, err := v.Apply(bad, t0); !errors.Is(err, ErrUnknown) {
			t.Errorf("Apply(%#v) = %v, want %v", bad, err, ErrUnknown)
		}
	}
	if _, err := v.Apply(Cast{ana, "Ana", 0}, start); !errors.Is(err, ErrOver) {
		t.Errorf("a vote for a day that has begun = %v, want %v", err, ErrOver)
	}
	if _, err := v.Apply(Take{0, "t2"}, start); !errors.Is(err, ErrOver) {
		t.Errorf("taking a day that has begun = %v, want %v", err, ErrOver)
	}
	if _, err := v.Apply(Cast{ana, "Ana", NoOption}, v.Ends()); !errors.Is(err, ErrVoteOver) {
		t.Errorf("a vote after the last day began = %v, want %v", err, ErrVoteOver)
	}
	v = castAll(t, v, SeaOf{[]Sea{{Hs: 2, At: t0}, {}, {Verdict: "cannot tell", At: t0}}})
	if v.Options[0].Sea.Hs != 2 || v.Options[1].Sea.Hs != 1 || v.Options[2].Sea.Verdict != "cannot tell" {
		t.Errorf("the seas are %+v: what was not looked at stays", v.Options)
	}
}

// Who takes it is in; who could come is in and asked, for "I could" is no promise.
func TestTheVoteBecomesAPlan(t *testing.T) {
	v := castAll(t, ballot(t), Cast{bram, "Bram", 1}, Cast{chidi, "Chidi", 1}, Cast{dell, "Dell", 0})
	p, err := v.FromVote(1, Trip{ID: "t9", Crew: v.Crew, By: dell, ByName: "Dell"}, t0)
	if err != nil {
		t.Fatal(err)
	}
	var in, asked []string
	for _, x := range p.Who(In) {
		in = append(in, x.Name)
	}
	for _, x := range p.Unconfirmed() {
		asked = append(asked, x.Name)
	}
	if !slices.Equal(in, []string{"Dell", "Bram", "Chidi"}) || !slices.Equal(asked, []string{"Bram", "Chidi"}) {
		t.Errorf("in are %v, asked %v", in, asked)
	}
	if p.PlanB != Home || p.Vote != "v1" || p.Capacity != 2 || !p.Dark || !gear(t, p, Lights).Vital || p.SeaNow.Hs != 1 || !p.Start.Equal(v.Options[1].Start) {
		t.Errorf("the plan is %+v, want what the vote knew", p)
	}
	over := castAll(t, v, Take{1, "t9"})
	if o, ok := over.Taken(); !ok || !o.Start.Equal(p.Start) || over.Open(t0) {
		t.Errorf("taken is %+v, %v, open %v", o, ok, over.Open(t0))
	}
	if _, err := over.Apply(Take{0, "t10"}, t0); !errors.Is(err, ErrVoteOver) {
		t.Errorf("taking it twice = %v, want %v: two taps are one plan", err, ErrVoteOver)
	}
}

// Whatever people tap in whatever order: nobody stands anywhere twice, nor under "none" and a day at once; a refusal changes
// nothing, and no event changes the vote it is handed.
func TestVotesOfAnyOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(20260314, 1))
	for range 300 {
		v, said := ballot(t), []string{}
		for range 40 {
			e := VoteEvent(Cast{ID: int64(11 + rng.IntN(5)), Option: rng.IntN(MostOptions) - 2})
			if rng.IntN(25) == 0 {
				e = []VoteEvent{Drop{}, Take{rng.IntN(4) - 1, "t2"}, SeaOf{make([]Sea, 3)}, VoteShown{rng.IntN(9)}}[rng.IntN(4)]
			}
			said = append(said, fmt.Sprintf("%T%+v", e, e))
			before := fmt.Sprint(v)
			next, err := v.Apply(e, t0)
			if fmt.Sprint(v) != before {
				t.Fatalf("%v changed the vote it was handed", said)
			}
			if err != nil {
				if !reflect.DeepEqual(next, Vote{}) {
					t.Fatalf("%v: refused and yet %+v", said, next)
				}
				continue
			}
			for i, o := range next.Options {
				seen := map[int64]bool{}
				for _, x := range o.For {
					if seen[x.ID] || slices.ContainsFunc(next.None, func(n Voter) bool { return n.ID == x.ID }) {
						t.Fatalf("%v: %d stands twice, at option %d", said, x.ID, i)
					}
					seen[x.ID] = true
				}
			}
			v = next
		}
	}
}

func TestAVoteForgets(t *testing.T) {
	v := castAll(t, ballot(t), Cast{ana, "Ana", 0}, Cast{bram, "Bram", 0}, Cast{dell, "Dell", NoOption})
	before := fmt.Sprint(v.Options)
	f := v
	if !f.Forget(ana, "somebody") || f.ByName != "somebody" || len(f.Voters()) != 2 {
		t.Errorf("after forgetting Ana: %+v", f)
	}
	if fmt.Sprint(v.Options) != before {
		t.Error("Forget changed the vote it was made from")
	}
	if f.Forget(ana, "somebody") {
		t.Error("Forget twice is a change")
	}
}
