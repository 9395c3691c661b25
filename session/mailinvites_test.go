package session_test

import (
	"errors"
	"maps"
	"testing"
	"time"

	"ledgehand/session"
)

func invitation(n string, made time.Time) session.MailInvite {
	return session.MailInvite{ID: "i" + n, Code: "CODE" + n, Crew: crewID, Name: n, Address: n + "@example.org", Made: made}
}

func (b *bench) invites(cause string, now time.Time, change func(session.MailInvites) session.MailInvites) {
	b.Helper()
	b.do(cause, now, func(tx *session.Tx) error {
		m, err := tx.LoadMailInvites()
		if err != nil {
			return err
		}
		m.Of = ana
		return tx.PutMailInvites(change(m))
	})
}

func (b *bench) stored(prefix string) (keys []string) {
	b.Helper()
	keys, err := b.store.Keys(b.Context(), crewID.Shard(), prefix)
	if err != nil {
		b.Fatal(err)
	}
	return keys
}

// An address that nobody said yes for is out of the store after seven days, though nobody writes.
func TestPendingAddressesAreDeleted(t *testing.T) {
	b, h := open(t), &herald{}
	b.invites("u1", noon, func(m session.MailInvites) session.MailInvites { return m.Add(invitation("Mo", noon)) })
	day := 24 * time.Hour
	b.invites("u2", noon.Add(day/2), func(m session.MailInvites) session.MailInvites {
		return m.Add(invitation("Gil", noon.Add(day/2)))
	})
	b.swept(noon.Add(day+time.Minute), h) // the first is not counted any more
	b.swept(noon.Add(7*day-time.Minute), h)
	b.swept(noon.Add(7*day), h, "11 invited Mo")
	b.do("u3", noon.Add(7*day), func(tx *session.Tx) error {
		m, err := tx.LoadMailInvites()
		if err != nil || len(m.List) != 1 || m.List[0].Name != "Gil" || len(m.Sent) != 0 {
			t.Errorf("left are %+v, %v, want Gil's", m, err)
		}
		return nil
	})
	b.swept(noon.Add(8*day), h, "11 invited Gil")
	if keys, due := b.stored("invites/"), b.due(); len(keys) != 0 || len(due) != 0 {
		t.Errorf("stored %v, index %v, want nothing left", keys, due)
	}
	b.invites("u4", noon.Add(9*day), func(m session.MailInvites) session.MailInvites { // and it can be begun anew
		return m.Add(invitation("Mo", noon.Add(9*day)))
	})
	if keys := b.stored("invites/"); len(keys) != 1 {
		t.Errorf("stored %v, want one record", keys)
	}
}

// A look that could not be told stays due, and the index is made to agree with the record.
func TestInvitationsKeepTheirLook(t *testing.T) {
	b, h := open(t), &herald{fail: map[string]error{"invites": errors.New("no words")}}
	b.invites("u1", noon, func(m session.MailInvites) session.MailInvites { return m.Add(invitation("Mo", noon)) })
	end := noon.Add(session.InviteLasts)
	if _, err := b.sweep(noon.Add(25*time.Hour), h); err != nil {
		t.Fatal(err)
	}
	if _, err := b.sweep(end, h); err == nil {
		t.Fatal("a herald that fails is not heard of")
	}
	if len(b.stored("invites/")) != 1 {
		t.Fatal("the record is gone though nobody was told")
	}
	h.fail, h.heard = nil, nil
	b.swept(end.Add(time.Minute), h, "11 invited Mo")
	b.invites("u2", noon, func(m session.MailInvites) session.MailInvites { return m.Add(invitation("Mo", noon)) })
	want := b.due()
	b.index("lost", session.DueItem{Item: "invites/gdw/mail"})
	mended, err := b.svc.Reconcile(t.Context(), crewID.Shard(), noon)
	if err != nil || len(mended) != 1 || len(want) != 1 || !maps.EqualFunc(b.due(), want, time.Time.Equal) {
		t.Errorf("Reconcile() = %v, %v, index %v, want %v again", mended, err, b.due(), want)
	}
}

func TestCodes(t *testing.T) {
	m := session.MailInvites{}.Add(invitation("Mo", noon)).Add(invitation("Gil", noon))
	if i, ok := m.Coded("CODEGil"); !ok || i.Name != "Gil" {
		t.Errorf("Coded() = %v, %v, want Gil's", i, ok)
	}
	for _, code := range []string{"", "CODE", "codegil"} {
		if i, ok := m.Coded(code); ok {
			t.Errorf("Coded(%q) = %v, want none", code, i)
		}
	}
	was := m
	for left := session.MostWrongCodes - 1; left >= 0; left-- {
		var n int
		if m, n = m.WrongCode(); n != left {
			t.Errorf("WrongCode() leaves %d, want %d", n, left)
		}
	}
	if len(m.List) != 0 || was.List[0].Wrong != 0 {
		t.Errorf("left %v, was %v, want none left and what was handed in unchanged", m.List, was.List)
	}
	again := session.MailInvites{}.Add(invitation("Mo", noon)).Add(session.MailInvite{ID: "2", Code: "NEW", Name: "Mo", Address: "mo@EXAMPLE.org", Made: noon.Add(time.Hour)})
	if len(again.List) != 1 || again.List[0].Code != "NEW" || len(again.Sent) != 2 {
		t.Errorf("invited again: %+v, want the newer code alone and both counted", again)
	}
}
