package bot

import (
	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// What a button does. The words are part of what old panels carry: never reuse one for something else.
const (
	actOff        = "off"
	actOffAll     = "offall"
	actHome       = "home"
	actMore       = "more"
	actPlan       = "plan"
	actAck        = "ack"
	actLetGo      = "letgo"
	actAccept     = "accept"
	actDecline    = "decline"
	actWave       = "wave"
	actUnwave     = "unwave"
	actStopWatch  = "stopw"
	actLonger     = "longer"
	actAfter      = "after"
	actNearUndo   = "nearundo"
	actSay        = "say"
	actBring      = "bring"
	actCallOff    = "calloff"
	actTripSea    = "tsea"
	actTripTime   = "twhen"
	actGo         = "go"
	actCalendar   = "ical"
	actGround     = "ground"
	actConditions = "cond"
	actWhy        = "why"
	actTide       = "tide"
	actLight      = "light"
	actUndo       = "undo"
	actKept       = "kept"
	actUnits      = "units"
	actLanguage   = "lang"
	actZone       = "zone"
	actSetClock   = "clock"
	actSetFaces   = "faces"
	actSetLip     = "lip"
	actJacket     = "jacket"
	actSignal     = "signal"
	actTime       = "time"
	actAlong      = "along"
	actOther      = "other"
	actOutLedge   = "outl"
	actTripView   = "tview"
	actGear       = "gear" // as bring, from the list of all things
	actDrive      = "drive"
	actFirst      = "first"
	actWalk       = "walk"
	actGoPlanB    = "planb"
	actVote       = "vote"
	actVoteView   = "vview"
	actTake       = "take"
	actVoteDrop   = "vdrop"
	actForget     = "forget"
	actNoteUndo   = "noteundo"
	actImport     = "import"
	actTakeLedge  = "takel"
	actRing       = "ring"
	actEdit       = "edit"
	actQuiet      = "quiet"
	actCrew       = "crew"
	actSetStop    = "setstop"
	actFish       = "fish"
)

// ref names a record of a crew in a button.
func ref(crew session.CrewID, id string) string { return string(crew) + "." + id }

func button(label, act, ref, arg string) chat.Button {
	data, err := command.Pack(command.Payload{Act: act, Ref: ref, Arg: arg})
	if err != nil {
		// Too long for a button: the typed command does the same. A test packs the longest ids there are.
		return chat.Button{Label: label}
	}
	return chat.Button{Label: label, Data: data}
}

// offButtons are what somebody on the rocks may have to press with one wet thumb, and nothing else.
func offButtons(w wording.Words, o outing.Outing) [][]chat.Button {
	r := ref(session.CrewID(o.Crew), o.ID)
	off := button(w.T("b_off"), actOff, r, "")
	off.Style = chat.StyleGood
	rows := [][]chat.Button{{off}, {button(w.T("b_more30"), actMore, r, "30"), button(w.T("b_more60"), actMore, r, "60"), button(w.T("b_more_other"), actOther, r, "")}}
	if len(o.StillOut()) > 1 {
		rows[0] = append(rows[0], button(w.T("b_off_all"), actOffAll, r, ""))
	}
	return rows
}

// outingButtons are those of the panel: the same, and what is still to be said of the outing.
func outingButtons(w wording.Words, o outing.Outing) [][]chat.Button {
	r := ref(session.CrewID(o.Crew), o.ID)
	rows := offButtons(w, o)
	if o.Sheet.Lifejacket == "" {
		rows = append(rows, []chat.Button{button(w.T("b_jacket_yes"), actJacket, r, "yes"), button(w.T("b_jacket_no"), actJacket, r, "no")})
	}
	if o.Sheet.Signal == "" {
		rows = append(rows, []chat.Button{button(w.T("b_signal_yes"), actSignal, r, "yes"), button(w.T("b_signal_no"), actSignal, r, "no")})
	}
	return append(rows, append([]chat.Button{button(w.T("b_plan"), actPlan, r, "")}, alongButton(w, o)...))
}

func alertButtons(w wording.Words, o outing.Outing, contact bool) [][]chat.Button {
	r := ref(session.CrewID(o.Crew), o.ID)
	label := w.T("b_called")
	if o.Sheet.Number != "" {
		label = w.T("b_called_number", "number", o.Sheet.Number)
	}
	called := button(label, actAck, r, string(outing.AckCalled))
	called.Style = chat.StyleGrave
	rows := [][]chat.Button{
		{button(w.T("b_trying"), actAck, r, string(outing.AckTrying))},
		{button(w.T("b_reached"), actAck, r, string(outing.AckReached))},
		{called},
	}
	if contact {
		rows = append(rows, []chat.Button{button(w.T("b_sheet"), actPlan, r, "")})
		rows = append(rows, copyButtons(w, o)...)
	}
	return rows
}

// copyButtons put what is dialled, read out or pasted into the clipboard, each with one tap.
func copyButtons(w wording.Words, o outing.Outing) [][]chat.Button {
	var row []chat.Button
	if o.Sheet.Number != "" {
		row = append(row, chat.Button{Label: w.T("b_copy_number", "number", o.Sheet.Number), Copy: o.Sheet.Number})
	}
	if o.Sheet.Lat != nil && o.Sheet.Lon != nil {
		dec, _ := w.Position(*o.Sheet.Lat, *o.Sheet.Lon)
		row = append(row, chat.Button{Label: w.T("b_copy_place"), Copy: dec})
	}
	rows := [][]chat.Button{row}
	for _, m := range o.StillOut() {
		if m.Phone != "" && len(rows) < 4 {
			rows = append(rows, []chat.Button{{Label: w.T("b_copy_phone", "who", m.Name), Copy: m.Phone}})
		}
	}
	return rows
}
