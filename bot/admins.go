package bot

import (
	"context"
	"slices"
	"sync"
	"time"

	"ledgehand/bot/wording"
	"ledgehand/session"
)

// Who may change ledges, limits and the crew's own settings: everybody, or those who administer the group. Nothing that a life may hang on
// asks this.

// How long an answer of the chat service counts, and how long its silence: whoever asks again meanwhile must not hold others up.
const (
	adminsKept   = 5 * time.Minute
	adminsSilent = 30 * time.Second
	adminsWait   = 3 * time.Second
)

// admins remembers who administers which chat.
type admins struct {
	mu sync.Mutex
	of map[int64]administered
}

type administered struct {
	ids []int64
	ok  bool
	at  time.Time
}

// mostAdminChats bounds that memory; a full one is emptied.
const mostAdminChats = 2048

// administers says whether somebody administers a chat; known is false when the chat service does not tell.
func (a *ask) administers(chatID, who int64) (is, known bool) {
	m, now := &a.admins, a.cause.Now
	m.mu.Lock()
	x, have := m.of[chatID]
	m.mu.Unlock()
	kept := adminsKept
	if !x.ok {
		kept = adminsSilent
	}
	if !have || now.Sub(x.at).Abs() >= kept {
		ctx, cancel := context.WithTimeout(a.ctx, adminsWait)
		ids, err := a.Sender.Admins(ctx, chatID)
		cancel()
		if x = (administered{ids, err == nil, now}); err != nil {
			a.Log.Warn("who administers a chat cannot be read", "err", err)
		}
		m.mu.Lock()
		if m.of == nil || len(m.of) >= mostAdminChats {
			m.of = map[int64]administered{}
		}
		m.of[chatID] = x
		m.mu.Unlock()
	}
	return slices.Contains(x.ids, who), x.ok
}

// mayEdit says whether whoever asks may change the crew's ledges and limits; if not they have been told. always asks for an administrator
// whatever the crew set, where there can be any.
func (a *ask) mayEdit(always bool) (bool, error) {
	c, err := a.crewRecord(a.crew)
	if err != nil {
		return false, err
	}
	if !c.Group || c.Edit != session.EditAdmins && !always {
		return true, nil
	}
	is, known := a.administers(c.Chat, a.r.From.ID)
	if is {
		return true, nil
	}
	id := "edit_admins"
	if !known {
		id = "edit_unknown"
	}
	return false, a.do(func(tx *session.Tx, c session.Crew, w wording.Words) error {
		if a.r.TapID != "" {
			a.toast, a.loud = short(w.T(id)), true
			return nil
		}
		a.reply(tx, w.T(id))
		return nil
	})
}
