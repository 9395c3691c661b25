// Package feed fetches sea state, weather and official warnings, and refuses what it cannot
// trust: a forecast of nothing but nulls or zeros, units it did not ask for, columns that do
// not fit, an answer for another place, a list of warnings too old to mean anything.
//
// Sources so far: the marine and forecast interfaces of Open-Meteo (data CC BY 4.0; the free
// hosts are for non-commercial use, so the addresses can be set to a server of one's own) and
// the alerts of the US National Weather Service (public domain).
//
// What goes out is the sea anchor, a grid centre some kilometres off the ledge (Anchor), or a
// whole state's worth of warnings, never the ledge. What comes back is a model cell of 8 km or
// more: this package models no bay, headland, reef or cliff, and its hours are interpolated
// from steps of up to 3 h. Times are passed in as now; only the pace of requests towards a
// host and the length of a request run on the real clock.
package feed
