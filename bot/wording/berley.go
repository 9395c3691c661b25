package wording

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"ledgehand/conditions/ledge"
	"ledgehand/session/berley"
	"ledgehand/session/trip"
)

// BerleyPlan is a trip with the crew's recipe and what its ledge allows.
type BerleyPlan struct {
	Trip   trip.Trip
	Recipe berley.Recipe
	Ground ledge.Answer // is ground-bait allowed there
}

// anglers are those who are in, and at least one: somebody will go.
func (b BerleyPlan) anglers() int { return max(1, len(b.Trip.Who(trip.In))) }

func (b BerleyPlan) over() time.Duration { return b.Trip.End.Sub(b.Trip.Start) }

// Parts is what it takes.
func (b BerleyPlan) Parts() []berley.Part { return b.Recipe.For(b.anglers(), b.over()) }

// Part is one thing of a recipe: "4 kg soaked bread", "1.5 loaves", "sand".
func (w Words) Part(p berley.Part) string {
	name := Clean(p.Name, 40)
	switch p.Unit {
	case berley.Gram:
		return w.weight(p.Amount) + " " + name
	case berley.Millilitre:
		if v := berley.Sensible(p.Amount); v >= 1000 {
			return number(v/1000) + " l " + name
		}
		return number(berley.Sensible(p.Amount)) + " ml " + name
	case berley.Piece:
		return number(p.Amount) + " " + name
	}
	return name
}

// weight is grams to two figures, in what the crew weighs with.
func (w Words) weight(g float64) string {
	if w.Units == Imperial {
		const ounce = 453.59237 / 16 // g, international avoirdupois, exact
		if oz := berley.Sensible(g / ounce); oz < 16 {
			return number(oz) + " oz"
		}
		return number(berley.Sensible(g/ounce/16)) + " lb"
	}
	if v := berley.Sensible(g); v < 1000 {
		return number(v) + " g"
	}
	return number(berley.Sensible(g)/1000) + " kg"
}

// number is at most one decimal, and none where there is nothing behind the point.
func number(v float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
}

// parts are the things of a recipe in one line.
func (w Words) parts(list []berley.Part) HTML {
	var out []string
	for _, p := range list {
		out = append(out, escape(w.Part(p)))
	}
	return HTML(strings.Join(out, ", "))
}

// berleyFor is whom a recipe is for: "2 anglers, 3.5 h".
func (w Words) berleyFor(anglers int, over time.Duration) string {
	return w.T("berley_for", "n", anglers, "hours", number(over.Hours())+" h")
}

// prep is what is to be done with the parts the evening before; empty for nothing.
func (w Words) prep(parts []berley.Part) string {
	of := func(want berley.Prep) HTML {
		var out []string
		for _, p := range parts {
			if p.Prep() == want {
				out = append(out, p.Name)
			}
		}
		return w.list(out)
	}
	var out []string
	if slices.ContainsFunc(parts, func(p berley.Part) bool { return p.Prep() == berley.Soak }) {
		out = append(out, w.T("prep_soak", "what", of(berley.Soak)))
	}
	if slices.ContainsFunc(parts, func(p berley.Part) bool { return p.Prep() == berley.Thaw }) {
		out = append(out, w.T("prep_thaw", "what", of(berley.Thaw)))
	}
	return strings.Join(out, " ")
}

// ground says whether ground-bait is allowed; what nobody said is a no until somebody asked.
func (w Words) ground(a ledge.Answer, name string) string {
	switch a {
	case ledge.Yes:
		return w.T("ground_yes", "ledge", name)
	case ledge.No:
		return w.T("ground_no", "ledge", name)
	}
	return w.T("ground_ask", "ledge", name)
}

// muchEach is from when on it is said what others used: the most that a published study found of anglers in fresh water, grams
// a day each (Imbert et al., Fisheries Management and Ecology, doi 10.1111/fme.12802).
const muchEach = 2500

// Berley is what the recipe comes to for a trip.
func (w Words) Berley(b BerleyPlan) string {
	w = w.in(b.Trip.Zone)
	t, n := b.Trip, b.anglers()
	head := w.T("berley_head", "ledge", t.Ledge, "day", w.Day(t.Start), "span", w.Span(t.Start, t.End), "of", w.berleyFor(n, b.over()))
	if len(t.Who(trip.In)) == 0 {
		head += " (" + w.T("berley_nobody_in") + ")"
	}
	if b.Ground == ledge.No {
		return lines(head, w.ground(b.Ground, t.Ledge))
	}
	who := HTML("<b>" + w.T("nobody") + "</b>")
	for _, it := range t.Gear {
		if it.Name == trip.Berley && it.By != 0 {
			who = HTML(escape(it.ByName))
		}
	}
	parts := b.Parts()
	last := w.T("berley_recipe", "parts", w.parts(b.Recipe.Parts), "of", w.berleyFor(b.Recipe.Anglers, b.Recipe.Over))
	if each := berley.Grams(parts) / float64(n); each > muchEach {
		last = w.T("berley_much", "each", w.weight(each))
	}
	return lines(head, string(w.parts(parts)), strings.TrimSpace(w.prep(parts)+" "+w.T("berley_by", "who", who)), w.ground(b.Ground, t.Ledge), last)
}

// BerleyLine is what the recipe comes to, in one line.
func (w Words) BerleyLine(b BerleyPlan) string {
	return w.T("berley_line", "of", w.berleyFor(b.anglers(), b.over()), "parts", w.parts(b.Parts()))
}

// Recipe is a crew's recipe as it was written down.
func (w Words) Recipe(r berley.Recipe) string {
	return w.T("berley_noted", "parts", w.parts(r.Parts), "of", w.berleyFor(r.Anglers, r.Over))
}

// Prepare is the evening before: what somebody brings and what is to be done with it tonight. Who is empty where they read it
// themselves, items are empty where nobody brings any berley.
func (w Words) Prepare(b BerleyPlan, who string, items []string, now time.Time) string {
	w = w.in(b.Trip.Zone)
	t := b.Trip
	when := w.Day(t.Start) + " " + w.Clock(t.Start)
	var names []string
	for _, it := range items {
		names = append(names, w.Item(it))
	}
	var head string
	switch {
	case len(items) == 0:
		head = w.T("prepare_nobody", "ledge", t.Ledge, "when", when)
	case who == "":
		head = w.T("prepare_you", "ledge", t.Ledge, "when", when, "items", w.list(names))
	default:
		head = w.T("prepare_them", "ledge", t.Ledge, "when", when, "who", who, "items", w.list(names))
	}
	// Who brings berley, or would, is told the whole recipe; whoever brings bait, what that needs.
	amounts, todo, ground := "", "", ""
	var parts []berley.Part
	if len(items) == 0 || slices.Contains(items, trip.Berley) {
		ground = w.ground(b.Ground, t.Ledge)
		if b.Ground != ledge.No {
			if parts = b.Parts(); len(parts) > 0 {
				amounts = w.T("prepare_amounts", "of", w.berleyFor(b.anglers(), b.over()), "parts", w.parts(parts))
			}
		}
	}
	for _, it := range items {
		if p := (berley.Part{Name: it}); p.Prep() != "" {
			parts = append(parts, p)
		}
	}
	if todo = w.prep(parts); todo != "" {
		todo = w.T("prepare_tonight") + " " + todo
	} else if len(parts) == 0 && b.Ground != ledge.No || slices.Contains(items, trip.Bait) {
		todo = w.T("prepare_no_recipe")
	}
	return lines(head, amounts, todo, ground, w.T("prepare_litter"))
}

// Prawns is what holds for prawns as bait where a crew fishes: a zone and an area such as "Australia/Perth", "AU-WA".
func (w Words) Prawns(zone, area string) string {
	switch {
	case zone == "Australia/Perth" || zone == "Australia/Eucla" || strings.HasPrefix(area, "AU-WA") || area == "WA" && strings.HasPrefix(zone, "Australia/"):
		return w.T("prawns_au") + "\n" + w.T("prawns_wa")
	case strings.HasPrefix(zone, "Australia/") || strings.HasPrefix(area, "AU"):
		return w.T("prawns_au")
	}
	return w.T("prawns")
}

// LadleSet is a timer that begins.
func (w Words) LadleSet(every time.Duration, now time.Time) string {
	return w.T("ladle_set", "min", fmt.Sprint(int(every.Minutes())), "at", w.Clock(now.Add(every)))
}
