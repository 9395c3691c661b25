// Package chat says what any chat service is to the bot: somebody did something
// somewhere (Request), and the bot posts, edits or answers (Message). It knows
// nothing of tides, outings or any one service; telegram and console translate
// to and from it. It does not model what Ledgehand never uses: polls, albums,
// inline mode, channels.
package chat

import "time"

// Kind is what somebody did.
type Kind string

// The kinds of request. Anything a service sends that is none of these becomes KindOther
// and is acknowledged without an effect.
const (
	KindText     Kind = "text"     // a written line, command or not; also a photo's caption
	KindTap      Kind = "tap"      // a button pressed; Data holds its payload
	KindPlace    Kind = "place"    // a location sent
	KindFix      Kind = "fix"      // a location sent before has moved: it is shared live
	KindAdded    Kind = "added"    // the bot was added to a group
	KindRemoved  Kind = "removed"  // the bot was removed or blocked
	KindLeft     Kind = "left"     // a person left a group, or was thrown out of it; Gone says who
	KindMoved    Kind = "moved"    // the chat got another id; MovedTo holds it
	KindEdited   Kind = "edited"   // an earlier line was changed: never run twice
	KindOther    Kind = "other"    // nothing we act on
	KindLook     Kind = "look"     // a look at the sea that we owe ourselves, told by our own sweep
	KindDeaf     Kind = "deaf"     // what was said in some time may be lost, told by whoever fetches updates
	KindOutcome  Kind = "outcome"  // how a message we sent fared, told by our own outbox
	KindUnlisted Kind = "unlisted" // a place, photo or text update whose sender is not a person (anonymous admin, channel)
)

// Place is where a request came from.
type Place struct {
	ID     int64  `json:"id"`               // up to 52 bits, negative for groups
	Group  bool   `json:"group,omitempty"`  // false: a private chat with one person
	Title  string `json:"title,omitempty"`  // hostile text: escape before showing
	Thread int    `json:"thread,omitempty"` // forum topic, 0 for none
}

// Person is who did it. Zero ID means not a person we can name (an anonymous admin, a channel).
type Person struct {
	ID       int64  `json:"id"`
	Name     string `json:"name"` // hostile text: escape before showing
	Language string `json:"language,omitempty"`
}

// Point is a location somebody sent, degrees north and east. It is a claim, not a proof of presence.
type Point struct {
	Lat       float64   `json:"lat"`
	Lon       float64   `json:"lon"`
	Forwarded bool      `json:"forwarded,omitempty"`
	LiveUntil time.Time `json:"live_until,omitzero"`
}

// Outcome is how one of our own messages fared, fed back through the inbox so that
// whoever depends on it can be told.
type Outcome struct {
	About  string `json:"about"`            // the reference the message carried
	Chat   int64  `json:"chat"`             // where it was to go
	Result Result `json:"result"`           // what became of it
	Why    string `json:"why,omitempty"`    // the service's own words, for the operator only
	Number int    `json:"number,omitempty"` // message id when sent

	Until time.Time `json:"until,omitzero"` // with ResultLater: an alert that the service does not take before; it still goes out then
}

// Request is one thing that happened, stamped with the instant it happened at.
type Request struct {
	ID      string    `json:"id"`  // the update's own id: the effect is committed under it, once
	At      time.Time `json:"at"`  // when it was done, UTC (the service's date if it gives one, else when we got it)
	Got     time.Time `json:"got"` // when we received it, UTC
	Kind    Kind      `json:"kind"`
	Place   Place     `json:"place"`
	From    Person    `json:"from"`
	Text    string    `json:"text,omitempty"`
	Data    string    `json:"data,omitempty"`     // payload of the tapped button
	TapID   string    `json:"tap_id,omitempty"`   // what to answer so that the button stops spinning
	Message int       `json:"message,omitempty"`  // id of the message written, or of the panel tapped
	ReplyTo int       `json:"reply_to,omitempty"` // id of the message of ours this answers, 0 for none
	Point   *Point    `json:"point,omitempty"`
	Photo   string    `json:"photo,omitempty"` // the service's reference to the largest size
	File    *File     `json:"file,omitempty"`  // a file sent; Text is then its caption
	MovedTo int64     `json:"moved_to,omitempty"`
	Gone    *Person   `json:"gone,omitempty"` // who left the group
	Outcome *Outcome  `json:"outcome,omitempty"`
	Look    *Look     `json:"look,omitempty"`
	Deaf    *Deaf     `json:"deaf,omitempty"`
}

// Deaf is a time in which what people said may not have come through.
type Deaf struct {
	From time.Time `json:"from"`
	To   time.Time `json:"to"`
}

// Look is a standing order that has come due: to look again at the sea of a trip or an outing of a crew.
type Look struct {
	Crew string `json:"crew"`
	Kind string `json:"kind"` // trip, outing
	Of   string `json:"of"`   // its id
}

// Button is one button under a message. Data is at most 64 bytes; Copy, if set, makes it a
// button that copies that text (coordinates, phone numbers) and Data is ignored.
type Button struct {
	Label string `json:"label"`
	Data  string `json:"data,omitempty"`
	Copy  string `json:"copy,omitempty"`
	Style Style  `json:"style,omitempty"`
}

// Style is how much a button stands out where the service can show it; never the only carrier of meaning.
type Style string

// The styles a button can have.
const (
	StylePlain Style = ""
	StyleGood  Style = "good"
	StyleGrave Style = "grave"
)

// MaxButtonData is the most bytes a button's payload may have (Telegram Bot API, InlineKeyboardButton.callback_data).
const MaxButtonData = 64

// MaxText is the most UTF-16 units a text may have (Telegram Bot API, sendMessage), MaxCaption under a picture.
const (
	MaxText    = 4096
	MaxCaption = 1024
)

// Picture is a PNG to show above the text, or a photo that the service holds already.
type Picture struct {
	PNG  []byte `json:"png,omitempty"`
	Ref  string `json:"ref,omitempty"` // the service's reference to a photo somebody sent; PNG is then empty
	Name string `json:"name"`          // file name, without a path
	Alt  string `json:"alt"`           // what it shows, for the terminal and for those who cannot see it
}

// Message is something to post. Text is HTML in the small subset Telegram takes
// (b, i, code, pre, a), already escaped.
type Message struct {
	To       int64      `json:"to"`
	Thread   int        `json:"thread,omitempty"`
	Text     string     `json:"text"`
	Buttons  [][]Button `json:"buttons,omitempty"`
	Picture  *Picture   `json:"picture,omitempty"`
	File     *Document  `json:"file,omitempty"`      // a file, with Text as its caption; never a panel
	Panel    string     `json:"panel,omitempty"`     // edits the message last posted under this name in this chat; posts if there is none
	Repost   bool       `json:"repost,omitempty"`    // with Panel: post anew and let the old one go, so that it is not buried
	ReplyTo  int        `json:"reply_to,omitempty"`  // answer to this message; a deleted one must not sink the answer
	Quiet    bool       `json:"quiet,omitempty"`     // no sound: routine news only, never an alert
	AskReply string     `json:"ask_reply,omitempty"` // open the reply box with this hint (8 to 64 characters)
	AskPlace string     `json:"ask_place,omitempty"` // private chats: show a "send my location" key with this label
	Answer   *Answer    `json:"answer,omitempty"`    // only answers a tap: To and Text are ignored
	Mail     *Mail      `json:"mail,omitempty"`      // an e-mail instead; To is then the address's MailNumber

	Entry string `json:"-"` // the outbox entry that is being sent: whoever gets it twice can tell by it
}

// Answer stops a tapped button's spinner, with up to 200 characters of toast.
type Answer struct {
	TapID string `json:"tap_id"`
	Text  string `json:"text,omitempty"`
	Loud  bool   `json:"loud,omitempty"` // a box to be dismissed instead of a toast
}

// Result is what became of a message.
type Result string

// The results a sender can report. Only ResultUnknown and ResultLater are tried again as they stand.
const (
	ResultSent    Result = "sent"    // the service took it
	ResultSame    Result = "same"    // an edit that changes nothing: as good as sent
	ResultLater   Result = "later"   // refused for now (flood limit, outage before sending): After says how long
	ResultUnknown Result = "unknown" // cut off after sending: it may or may not have arrived
	ResultBlocked Result = "blocked" // this person or chat cannot be reached (blocked, left, never started, deleted)
	ResultMoved   Result = "moved"   // the chat has a new id: MovedTo
	ResultGone    Result = "gone"    // the message to edit is gone: post it anew
	ResultRefused Result = "refused" // malformed in the service's eyes: will never be taken as it is
)

// Sent is the report on one attempt to send.
type Sent struct {
	Result  Result
	Message int           // id of the posted or edited message
	After   time.Duration // with ResultLater: wait at least this long
	Shut    bool          // with ResultLater: the service takes nothing in this chat for so long
	Apart   bool          // with ResultLater: only this way of sending is out, so those who depend on it can be told by another
	MovedTo int64         // with ResultMoved
	Why     string        // the service's words, for the operator's log; never holds the message text
}
