package outing

import "time"

// Keeps is how long after its end an outing still holds where exactly it was and how to ring people: long enough to ask what
// happened, to answer rescuers who call back, and to mend a wrong "off". common practice, no source; Telegram's terms for bots ask
// that nothing is kept longer than it is needed.
const Keeps = 72 * time.Hour

// wipeAt is when that time is over; zero while the outing is open, for an alert may need all of it.
func (o Outing) wipeAt() time.Time {
	if !o.Closed() {
		return time.Time{}
	}
	return o.ClosedAt.Add(Keeps)
}

// Wiped says whether that has happened.
func (o Outing) Wiped() bool { return !o.WipedAt.IsZero() }

// wipe leaves who was out on which ledge from when to when, who was told and what was said: what old panels and a look back need.
// It names what stays, so that a field nobody thought of here goes.
func (o Outing) wipe(now time.Time) Outing {
	kept := Outing{
		V: o.V, ID: o.ID, Crew: o.Crew, Group: o.Group, Thread: o.Thread, Trip: o.Trip, Ledge: o.Ledge, Zone: o.Zone,
		OpenedBy: o.OpenedBy, OpenedAt: o.OpenedAt, BackBy: o.BackBy, HomeBy: o.HomeBy, Ladder: o.Ladder, Told: o.Told, Heard: o.Heard, Tries: o.Tries, Falls: o.Falls,
		ClosedAt: o.ClosedAt, Cancelled: o.Cancelled, Deaf: o.Deaf, AskedAgain: o.AskedAgain, GroupWas: o.GroupWas, GroupRefused: o.GroupRefused,
		WipedAt: now,
	}
	for _, m := range o.People {
		kept.People = append(kept.People, Member{ID: m.ID, Name: m.Name, Chat: m.Chat, OffAt: m.OffAt, OffBy: m.OffBy, HomeAt: m.HomeAt, Language: m.Language})
	}
	for _, c := range o.Contacts {
		kept.Contacts = append(kept.Contacts, Contact{ID: c.ID, Name: c.Name, Chat: c.Chat, Reached: c.Reached, Refused: c.Refused, Until: c.Until, Language: c.Language})
	}
	for _, d := range o.Delays { // the reasons are anybody's words
		kept.Delays = append(kept.Delays, Delay{At: d.At, By: d.By, From: d.From, To: d.To})
	}
	s := o.Sheet
	kept.Sheet = Sheet{
		Number: s.Number, AskFor: s.AskFor, Lifejacket: s.Lifejacket, Signal: s.Signal,
		SeaHs: s.SeaHs, SeaHsLater: s.SeaHsLater, SeaPeriod: s.SeaPeriod, SeaAt: s.SeaAt, WaterC: s.WaterC,
		NextTide: s.NextTide, NextTideIsHigh: s.NextTideIsHigh, NextTideHeight: s.NextTideHeight, Datum: s.Datum, LastLight: s.LastLight,
	}
	return kept
}
