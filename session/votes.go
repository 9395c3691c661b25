package session

import "ledgehand/session/trip"

func voteKey(c CrewID, id string) string { return "vote/" + string(c) + "/" + id }

// LoadVote reads a vote of this crew.
func (tx *Tx) LoadVote(id string) (v trip.Vote, found bool, err error) {
	found, err = tx.load(voteKey(tx.Crew, id), &v)
	return v, found, err
}

// PutVote writes a vote and keeps the crew's list of open ones.
func (tx *Tx) PutVote(v trip.Vote) error {
	if err := tx.put(voteKey(tx.Crew, v.ID), v); err != nil {
		return err
	}
	return tx.list(func(c *Crew) *[]string { return &c.Votes }, v.ID, v.Open(tx.Now()))
}

// OpenVotes reads the votes that are open, oldest first.
func (tx *Tx) OpenVotes() ([]trip.Vote, error) {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return nil, err
	}
	var out []trip.Vote
	for _, id := range c.Votes {
		v, found, err := tx.LoadVote(id)
		if err != nil {
			return nil, err
		}
		if found && v.Open(tx.Now()) {
			out = append(out, v)
		}
	}
	return out, nil
}

// moveVotes lets what is open follow its chat to another id. What was posted stays behind with the old one.
func (tx *Tx) moveVotes(from, to int64) error {
	votes, err := tx.OpenVotes()
	if err != nil {
		return err
	}
	for _, v := range votes {
		if v.Chat == from {
			v.Chat, v.Panel = to, 0
			if err := tx.PutVote(v); err != nil {
				return err
			}
		}
	}
	return nil
}

// TidyPlans takes what is over out of the crew's lists of trips and votes: nobody says of them that they are.
func (tx *Tx) TidyPlans() error {
	c, _, err := tx.LoadCrew()
	if err != nil {
		return err
	}
	over := func(ids []string, is func(id string) (bool, error)) ([]string, error) {
		var kept []string
		for _, id := range ids {
			gone, err := is(id)
			if err != nil {
				return ids, err
			}
			if !gone {
				kept = append(kept, id)
			}
		}
		return kept, nil
	}
	n := len(c.Trips) + len(c.Votes)
	if c.Trips, err = over(c.Trips, func(id string) (bool, error) {
		t, found, err := tx.LoadTrip(id)
		return !found || t.Past(tx.Now()), err
	}); err != nil {
		return err
	}
	if c.Votes, err = over(c.Votes, func(id string) (bool, error) {
		v, found, err := tx.LoadVote(id)
		return !found || !v.Open(tx.Now()), err
	}); err != nil || n == len(c.Trips)+len(c.Votes) {
		return err
	}
	return tx.PutCrew(c)
}
