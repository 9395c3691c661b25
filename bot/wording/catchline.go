package wording

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"ledgehand/session/catch"
)

// Caught is one entry in words, without whose it is: "2 bream 31 cm and 28 cm, kept 1, let go 1".
func (w Words) Caught(e catch.Entry, name string) string {
	return fmt.Sprintf("%d %s", e.Count, escape(name)) + w.measured(e) + w.became(e)
}

// measured is what is known of the fish of an entry, with a space before it.
func (w Words) measured(e catch.Entry) string {
	out := ""
	if len(e.LengthsUM) > 0 {
		var lens []string
		for _, um := range e.LengthsUM {
			lens = append(lens, w.Length(um))
		}
		k := "catch_of"
		if e.Estimated {
			k = "catch_about"
		}
		out += " " + w.T(k, "lengths", w.list(lens))
		switch e.Measure {
		case "TL":
			out += " " + w.T("measure_tl")
		case "FL":
			out += " " + w.T("measure_fl")
		}
	}
	if len(e.WeightsG) > 0 {
		var all []string
		for _, g := range e.WeightsG {
			all = append(all, w.Weighed(g))
		}
		sep := " "
		if out != "" {
			sep = ", "
		}
		out += sep + string(w.list(all))
	}
	return out
}

// became is what became of them, with a comma before it, and the effort where it was told.
func (w Words) became(e catch.Entry) string {
	out := ""
	if e.Kept != nil && (*e.Kept > 0 || e.Released == nil || *e.Released == 0) {
		out += ", " + w.T("catch_kept", "n", *e.Kept)
	}
	if e.Released != nil && *e.Released > 0 {
		out += ", " + w.T("catch_released", "n", *e.Released)
	}
	return out + w.Effort(e)
}

// Effort is how long with how many rods, with a semicolon before it, where it was told.
func (w Words) Effort(e catch.Entry) string {
	switch {
	case e.Rods > 0 && e.RodMin > 0:
		return "; " + w.T("catch_effort", "rods", HTML(w.T("catch_rods", "n", e.Rods)), "hours", hours(float64(e.RodMin)/float64(e.Rods)/60))
	case e.Rods > 0:
		return "; " + w.T("catch_rods", "n", e.Rods)
	}
	return ""
}

func hours(h float64) string { return strconv.FormatFloat(math.Round(h*100)/100, 'f', -1, 64) }

// Scientific is a fish with its scientific name, as it is shown once.
func (w Words) Scientific(name, scientific string) string { return name + " (" + scientific + ")" }

// Weight is an estimate, in two figures.
func (w Words) Weight(grams float64) string {
	v, unit := grams/1000, "kg"
	if w.Units == Imperial {
		v, unit = grams/453.59237, "lb"
	} else if grams < 995 {
		v, unit = grams, "g"
	}
	if v <= 0 {
		return "0 " + unit
	}
	p := math.Pow(10, 1-math.Floor(math.Log10(v)))
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64) + " " + unit
}

// Weighed is a weight somebody read off, as exactly as it was told.
func (w Words) Weighed(grams float64) string {
	if w.Units == Imperial {
		lb := math.Floor(grams / 453.59237)
		oz := math.Round((grams - lb*453.59237) / 28.349523125)
		if oz == 16 {
			lb, oz = lb+1, 0
		}
		return strings.TrimSpace(strings.TrimPrefix(fmt.Sprintf("%.0f lb %.0f oz", lb, oz), "0 lb "))
	}
	if grams < 1000 {
		return strconv.FormatFloat(grams, 'f', -1, 64) + " g"
	}
	return strconv.FormatFloat(math.Round(grams)/1000, 'f', -1, 64) + " kg"
}
