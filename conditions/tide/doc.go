// Package tide predicts the astronomical tide: heights above a station's chart datum, high and
// low waters, whether the water is making or ebbing, and when it stands below a level.
//
// A prediction is the harmonic sum
//
//	h(t) = Z0 + Σ f·A·cos(V + u − g)
//
// with the station's constants A (metres) and g (Greenwich phase lag, degrees), the astronomical
// argument V, and the node factor and angle f, u after Schureman (1940). Everything runs on UTC;
// zones are for display only. The stations, their constants and their datums are built in.
//
// What is not in the sum: surge from wind and pressure, wave set-up and run-up, seiches, river
// discharge, ice, tsunami, and the rise of the sea since the station's epoch (commonly 0.1 m or
// more). Observed water passes the predicted extremes in every gale. On a coast between gauges
// the time can differ by an hour across an inlet and the range by tens of percent.
//
// Where to look: the stations and their datums in catalogue.go, station.go and datum.go, which one to use for a place in
// choose.go and alike.go, its time zone in zone.go; the constituents in line.go, compound.go and nodes.go; the sum in
// predictor.go, arc.go and wheel.go; what people ask of it in extremes.go, stage.go, stands.go, fortnight.go, character.go
// and surge.go; stations known by their offsets in secondary.go. ACCURACY.md is the table of errors by kind of station.
//
// Checked against published tables of 2011 to 2025 (see the tests for sources and figures):
// with f and u held over the calendar year the NOAA predictions come out to 1 mm. The arguments
// are good for 1900 to 2100; outside nothing was compared.
package tide
