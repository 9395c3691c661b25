package outing

import (
	"fmt"
	"slices"
)

// MessageID names the message an effect becomes. The same effect always gets the same
// name, so deciding it twice queues it once, and a queued alert can be called back.
func (o Outing) MessageID(e Effect) string {
	return fmt.Sprintf("%s/%d/%s/%d/%d", o.ID, e.For.UnixMilli(), e.Kind, e.N, e.To.Chat)
}

// Outstanding names every alert and question decided so far. Whatever of it still waits to
// be sent must not go out after the outing closed or got a new back-by time.
func (o Outing) Outstanding() []string {
	var ids []string
	for n, d := range o.Deaf {
		for _, chat := range o.everybody() {
			ids = append(ids, o.MessageID(Effect{Kind: SayDeaf, To: Recipient{Chat: chat}, N: n + 1, For: d.For}))
		}
	}
	for _, t := range o.Told {
		for _, r := range t.To {
			k := SayAsk
			switch {
			case promptOf[t.Rung] != "":
				k = promptOf[t.Rung]
			case r.Role == RoleGroup:
				k = SayParty
			case r.Role == RoleContact:
				k = SayContact
			}
			ids = append(ids, o.MessageID(Effect{Kind: k, To: r, N: t.N, For: t.For}))
			if r.Chat == o.Group {
				for _, was := range o.GroupWas { // queued under the id the group had then
					r.Chat = was
					ids = append(ids, o.MessageID(Effect{Kind: k, To: r, N: t.N, For: t.For}))
				}
			}
		}
	}
	return ids
}

// everybody are the chats of all who may be told anything, those that the group had before among them.
func (o Outing) everybody() []int64 {
	out := append([]int64{o.party().Chat}, o.GroupWas...)
	for _, m := range o.People {
		out = append(out, m.ID, o.chatOf(m)) // asked in private before that was out of reach
	}
	for _, c := range o.Contacts {
		out = append(out, c.Chat)
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// Retarget is the outing after its group's chat got another id.
func (o Outing) Retarget(from, to int64) Outing {
	o = o.clone()
	if o.Group == from {
		o.Group = to
		o.GroupWas = append(slices.Clone(o.GroupWas), from)
	}
	for i := range o.People {
		if o.People[i].Chat == from {
			o.People[i].Chat = to
		}
	}
	for i := range o.Told {
		rs := append([]Recipient(nil), o.Told[i].To...)
		for j := range rs {
			if rs[j].Chat == from {
				rs[j].Chat = to
			}
		}
		o.Told[i].To = rs
	}
	return o
}
