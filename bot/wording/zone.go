package wording

import (
	"sync"
	"time"
)

// zones are those loaded so far, by name. Reading one from its file costs more than all the words of an alert; there are a few hundred
// names in the world, and only names that exist are kept.
var zones sync.Map

// Zone is a zone by its IANA name; not ok if there is none of that name.
func Zone(name string) (*time.Location, bool) {
	if l, ok := zones.Load(name); ok {
		return l.(*time.Location), true
	}
	l, err := time.LoadLocation(name)
	if err != nil || name == "" {
		return nil, false
	}
	zones.Store(name, l)
	return l, true
}
