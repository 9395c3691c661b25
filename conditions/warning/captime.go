package warning

import (
	"strings"
	"time"
)

// instant reads a time of CAP or Atom (RFC 3339; CAP wants "-00:00" for UTC, senders write Z
// and "+00:00" as well) or of RSS (RFC 822 with the names of zones it defines). A time without
// a zone is not read: it may be half a day off either way. Zero: not given or not readable.
func instant(s string) time.Time {
	s = strings.Join(strings.Fields(s), " ")
	for _, layout := range []string{time.RFC3339, "2006-01-02T15:04Z07:00", "2006-01-02T15:04:05Z0700"} {
		if t, err := time.Parse(layout, s); err == nil {
			return sane(t)
		}
	}
	if _, rest, ok := strings.Cut(s, ","); ok { // the day of the week says nothing new
		s = strings.TrimSpace(rest)
	}
	date, zone, ok := cutLast(s)
	if !ok {
		return time.Time{}
	}
	if z, ok := zones[strings.ToUpper(zone)]; ok {
		zone = z
	}
	for _, layout := range []string{"2 Jan 2006 15:04:05 -0700", "2 Jan 2006 15:04 -0700", "2 Jan 06 15:04:05 -0700"} {
		if t, err := time.Parse(layout, date+" "+zone); err == nil {
			return sane(t)
		}
	}
	return time.Time{}
}

// sane drops years that stand for "no time" in somebody's database.
func sane(t time.Time) time.Time {
	if t = t.UTC(); t.Year() < 1980 || t.Year() > 9000 {
		return time.Time{}
	}
	return t
}

// zones of RFC 822, section 5.1. The package time would take an unknown name for UTC.
var zones = map[string]string{
	"UT": "+0000", "UTC": "+0000", "GMT": "+0000", "Z": "+0000",
	"EST": "-0500", "EDT": "-0400", "CST": "-0600", "CDT": "-0500",
	"MST": "-0700", "MDT": "-0600", "PST": "-0800", "PDT": "-0700",
}

func cutLast(s string) (before, after string, ok bool) {
	i := strings.LastIndexByte(s, ' ')
	if i < 0 {
		return "", "", false
	}
	return s[:i], s[i+1:], true
}
