package bot

import (
	"context"
	"slices"
	"time"

	"ledgehand/bot/chat"
	"ledgehand/bot/command"
	"ledgehand/session"
)

// Elsewhere names the other shards in which the same person may have spoken of their outings: what they say of being out and off
// counts in the order in which they said it, in whatever chat (pump.Desk).
func (d *Desk) Elsewhere(ctx context.Context, r chat.Request, s session.Shard, now time.Time) ([]session.Shard, error) {
	if r.From.ID <= 0 || !ofOutings(r) {
		return nil, nil
	}
	a := &ask{Desk: d, ctx: ctx, r: r, cause: session.Cause{Now: now}}
	p, err := a.person(r.From.ID)
	if err != nil {
		return nil, err
	}
	p.ID = r.From.ID // somebody never met has no record
	var out []session.Shard
	for _, crew := range everywhere(p) {
		chat := r.From.ID
		if crew != session.CrewOf(chat) {
			c, err := a.crewRecord(crew)
			if err != nil {
				return nil, err
			}
			chat = c.Chat // a group whose id changed: its letters lie where the new id says
		}
		if x := session.ShardOfChat(chat); chat != 0 && x != s && !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	return out, nil
}

// ofOutings says whether a request may change who is out.
func ofOutings(r chat.Request) bool {
	switch r.Kind {
	case chat.KindText:
		cmd, _, ok := command.Split(r.Text)
		if !ok {
			return plainlyOff(r.Text) || perhapsOff(r.Text)
		}
		return slices.Contains([]string{"out", "off", "home", "more", "cancel", "letgo"}, cmd)
	case chat.KindTap:
		p, err := command.Unpack(r.Data)
		return err == nil && slices.Contains([]string{actOff, actOffAll, actHome, actMore, actLetGo, actTime, actOutLedge, actGo, actAlong}, p.Act)
	}
	return false
}
