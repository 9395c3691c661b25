package trip

import "slices"

// ForgetWords takes what somebody wrote to a plan out of it, and that they walk in with others; it reports whether that is a change.
func (t *Trip) ForgetWords(id int64) (changed bool) {
	n := len(t.Notes)
	t.Notes = slices.DeleteFunc(slices.Clone(t.Notes), func(x Note) bool { return x.By == id })
	changed = len(t.Notes) != n
	for i := range t.Roster {
		if p := &t.Roster[i]; p.WalkBy == id {
			p.WalkBy, p.WalkName, changed = 0, "", true
		}
	}
	return changed
}

// Voters are all who said something to a vote, each option's in turn.
func (v Vote) Voters() []Voter {
	out := slices.Clone(v.None)
	for _, o := range v.Options {
		out = append(out, o.For...)
	}
	return out
}

// Forget takes somebody out of a vote; as is what stands where their name stood.
func (v *Vote) Forget(id int64, as string) (changed bool) {
	theirs := func(x Voter) bool { return x.ID == id }
	changed = slices.ContainsFunc(v.Voters(), theirs)
	v.None, v.Options = slices.DeleteFunc(slices.Clone(v.None), theirs), slices.Clone(v.Options)
	for i := range v.Options {
		v.Options[i].For = slices.DeleteFunc(slices.Clone(v.Options[i].For), theirs)
	}
	if v.By == id {
		v.By, v.ByName, changed = 0, as, true
	}
	if changed {
		v.Rev++
	}
	return changed
}
