package bot

import (
	"strconv"
	"strings"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/wording"
	"ledgehand/session"
	"ledgehand/session/outing"
)

// What those ashore get by mail. They can tap nothing, answer nothing and take nothing on: each mail says all there is.

// mailOf is what a contact gets by mail of an effect.
func mailOf(w wording.Words, o outing.Outing, e outing.Effect, c outing.Contact, now time.Time) chat.Message {
	subject, text := w.Mail(o, e, now)
	m := outingMail(o, c, subject, text)
	m.Mail.Grave = e.Alert || e.Kind == outing.SayContact
	return m
}

// outingMail is a mail about an outing.
func outingMail(o outing.Outing, c outing.Contact, subject, text string) chat.Message {
	return chat.Message{To: c.Chat, Text: text, Mail: &chat.Mail{
		Address: c.Mail, Name: c.Name, Subject: subject, Thread: aboutOuting(o),
	}}
}

// aboutOuting names an outing to whoever tells how a message of it fared.
func aboutOuting(o outing.Outing) string { return "outing/" + o.Crew + "/" + o.ID }

// unsayTo calls back what of an outing still waits to be sent to a chat: its plan and its alerts.
func unsayTo(tx *session.Tx, o outing.Outing, to int64) {
	tx.Unsay(o.MessageID(outing.Effect{Kind: outing.SayPlan, To: outing.Recipient{Chat: to}}))
	for _, id := range o.Outstanding() {
		if strings.HasSuffix(id, "/"+strconv.FormatInt(to, 10)) { // the chat is the last part of a message's name
			tx.Unsay(id, id+"/sheet")
		}
	}
}
