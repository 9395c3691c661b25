// Package command turns what people type or tap into typed values: commands, trip times,
// lengths, durations, catch lines, ledge cards, positions, rules and button payloads.
//
// It is a reader, not a guesser. A line has three ends: a value, a question (*Ambiguous for
// times, *Doubt for catches) with the readings that are possible, or a refusal (*Unread) that
// names what was not understood. A number or a word it cannot place is never skipped: the whole
// line is asked about or refused, because a return time read wrongly is an alert at a wrong time.
//
// Times that hang on the tide or the light ("an hour before low", "first light till 9") are read with
// what the caller tells of the place (Local), and asked about without it.
//
// It does not model: vague tides ("on the run-out"), which are asked; plans of more than 14 hours,
// which are asked; feasts and holidays; in trip times languages other than English, Spanish and the
// plainest Portuguese, French, Afrikaans and Japanese; and than English, Spanish, Portuguese and some Japanese in catch lines. It
// does not know which ledges or people exist; text it did not use comes back as Window.Rest.
// It is pure: "now", the zone and the names are handed in.
//
// Checked for: clock times of every minute of a day, dates up to 400 days ahead, zones with whole
// and half hour clock changes, lengths from 1 cm to 5 m, counts from 1 to 200.
package command
