package command

import (
	"fmt"
	"time"
)

// Word names a question to ask or a reason for refusing. bot/wording turns it into a sentence;
// the value itself is stable and may be stored.
type Word string

// Questions about times.
const (
	AskHour       Word = "which-half"      // morning or evening: the candidates are the two
	AskDate       Word = "which-date"      // the candidates are on different days
	AskFirstOrTwo Word = "clock-twice"     // that local time happens twice that night
	AskMissing    Word = "clock-missing"   // that local time does not happen that night; the candidate is the next that does
	AskMidnight   Word = "which-midnight"  // the start or the end of that day
	AskLong       Word = "long-span"       // more than MaxSpan between start and end
	AskFar        Word = "far-return"      // the next such time is more than MaxSpan ahead
	AskUntil      Word = "until-when"      // a start, but neither an end nor a time to be back
	AskStart      Word = "from-when"       // an end on a later day, but no start
	AskTime       Word = "what-time"       // a day or a part of a day, but no time
	AskBack       Word = "back-when"       // "back", but no time after it
	AskStartBack  Word = "start-or-back"   // a span that may run to the start or to the return
	AskBackFirst  Word = "back-before-end" // back by a time before the fishing ends
	AskStarted    Word = "already-started" // the start has passed, the end has not
	AskVague      Word = "vague-time"      // "late", "lunch", "ish": no time a contact can act on
	AskTurn       Word = "which-turn"      // more than one high or low, or none in that part of the day
	AskTide       Word = "tide-unknown"    // hangs on a tide that nobody told us, or on a part of one
	AskLight      Word = "light-unknown"   // hangs on the sun, and nobody told us when
	AskMeet       Word = "meet-or-start"   // "5:30 for 6": meet, then fish
)

// Questions about catches.
const (
	AskSpecies   Word = "which-species"   // several species share the name there
	AskTally     Word = "length-or-tally" // one number: a length or a count
	AskCount     Word = "count"           // how many is not clear
	AskLengths   Word = "lengths"         // the lengths do not match the count
	AskFate      Word = "fate"            // kept and let go do not add up, or for which fish is not clear
	AskWhatFish  Word = "what-fish"       // numbers or a fate without a fish
	AskLength    Word = "what-length"     // words where a length should be
	AskLetGo     Word = "how-many-gone"   // how many were let go
	AskWho       Word = "whose"           // whose fish
	AskEffort    Word = "effort"          // how long, how many rods
	AskCatchTime Word = "catch-time"      // at two times: when exactly
	AskFix       Word = "fix"             // a correction that may change several things
)

// Reasons for refusing.
const (
	WhyEmpty    Word = "empty"
	WhyNoTime   Word = "no-time"         // nothing in it is a time
	WhyClock    Word = "no-such-time"    // 25:00
	WhyDate     Word = "no-such-date"    // 31 February
	WhyPast     Word = "past"            // a plan cannot start in the past
	WhyTooFar   Word = "too-far"         // more than MaxAhead
	WhyTwoTimes Word = "two-times"       // two times, and nothing says how they belong together
	WhyTwoDays  Word = "two-days"        // two different days
	WhyClash    Word = "clash"           // parts that contradict each other ("morning 5pm")
	WhyToken    Word = "not-understood"  // Said is the part that was not understood
	WhyOrder    Word = "order"           // a word that needs something after or before it that is not there
	WhyLong     Word = "too-long"        // more text than a line has
	WhyUnit     Word = "unit"            // no such unit
	WhyNumber   Word = "number"          // no number where one is needed
	WhyRange    Word = "out-of-range"    // a number no such thing can have
	WhyNoFish   Word = "no-such-fish"    // no fish of that name there
	WhyKeyword  Word = "unknown-keyword" // Known lists what there is
	WhyTwice    Word = "said-twice"      // the same field twice
	WhyMissing  Word = "missing"         // a field that must be there
	WhyVersion  Word = "old-button"      // a payload of another version
	WhyPayload  Word = "bad-payload"     // not a payload of ours
	WhyTooLong  Word = "payload-too-long"
)

// Ambiguous says that a time can be read in several ways, or lacks a part, and must be asked about.
// The Window returned beside it holds the parts that all readings share.
type Ambiguous struct {
	Said       string      // the part or the line it is about
	Question   Word        // what to ask
	Candidates []time.Time // the instants to choose from, oldest first; empty: an open question
	Readings   []Window    // what the line means for each candidate, same order; may itself lack an end
	Days       []time.Time // with AskTide and AskLight: the civil dates, midnight UTC, whose tides or light would answer it
}

func (e *Ambiguous) Error() string {
	return fmt.Sprintf("read %q: %s, %d candidates", e.Said, e.Question, len(e.Candidates))
}

// Unread says that something was not understood, and what. Said is what a person typed: show it to
// them, keep it out of logs.
type Unread struct {
	Said    string   // the part that was not understood, as typed
	Why     Word     // the reason
	Known   []string // what would have been understood in its place, where that is a short list
	Example string   // one line that would be read, where that helps
}

func (e *Unread) Error() string { return fmt.Sprintf("read %q: %s", e.Said, e.Why) }

// Doubt is one question to ask before a catch line can be recorded. The CatchLine returned beside
// it holds what was read so far.
type Doubt struct {
	Said     string   // the words it is about, as typed
	Question Word     // what to ask
	Species  []string // with AskSpecies: the species ids to choose from
}

func (e *Doubt) Error() string { return fmt.Sprintf("read %q: %s", e.Said, e.Question) }
