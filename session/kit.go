package session

import (
	"ledgehand/session/berley"
	"ledgehand/session/notice"
)

func berleyKey(c CrewID) string            { return "berley/" + string(c) + "/recipe" }
func noticeKey(c CrewID, id string) string { return "notice/" + string(c) + "/" + id }

// LoadBerley reads the crew's recipe; an empty one when there is none.
func (tx *Tx) LoadBerley() (r berley.Recipe, err error) {
	_, err = tx.load(berleyKey(tx.Crew), &r)
	return r, err
}

// PutBerley writes it; one without parts is taken out.
func (tx *Tx) PutBerley(r berley.Recipe) error {
	if !r.Known() {
		return tx.drop(berleyKey(tx.Crew))
	}
	r.V = berley.Version
	return tx.put(berleyKey(tx.Crew), r)
}

// LoadNotice reads what was told of a trip; an empty one when nothing was.
func (tx *Tx) LoadNotice(trip string) (n notice.Notice, err error) {
	_, err = tx.load(noticeKey(tx.Crew, trip), &n)
	return n, err
}

// PutNotice writes it.
func (tx *Tx) PutNotice(n notice.Notice) error {
	n.V = notice.Version
	return tx.put(noticeKey(tx.Crew, n.Trip), n)
}
