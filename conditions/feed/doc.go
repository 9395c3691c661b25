// Package feed fetches sea state, weather and official warnings, and refuses what it cannot
// trust: a forecast of nothing but nulls or zeros, units it did not ask for, columns that do
// not fit, an answer for another place, a list of warnings too old to mean anything.
//
// Sources: the marine and forecast interfaces of Open-Meteo (data CC BY 4.0; the free hosts are
// for non-commercial use, so the addresses can be set to a server of one's own), three wave
// models at once; the forecasts of MET Norway (CC BY 4.0) as a second opinion; the buoys of the
// NOAA National Data Buoy Center and the alerts of the US National Weather Service (public
// domain); indexes of CAP messages of other weather services, by country.
//
// client.go asks, one file a source says what for (buoy.go, second.go, capindex.go, alerts.go);
// marine.go, forecast.go, metno*.go, ndbc*.go and coops.go decode; host.go paces and rests a
// host, cache.go, shared.go and validators.go keep answers; kinds.go reads any body for calc.
//
// What goes out is the sea anchor, a grid centre some kilometres off the ledge (Anchor), or the
// wish for all warnings of a state or country and for all buoys, never the ledge. What comes back is a model cell of 8 km or
// more: this package models no bay, headland, reef or cliff, and its hours are interpolated
// from steps of up to 3 h. Times are passed in as now; only the pace of requests towards a
// host and the length of a request run on the real clock.
package feed
