package weight

// Turn gives the length of a fish of a species (scientific name), measured from the nose to the fork, as measured to the end of the
// tail, or the other way; ok is false where no line is known, or where it gives a tail that no fish has.
func (t *Table) Turn(species string, from, to Measure, cm float64) (out float64, ok bool) {
	if from == to {
		return cm, true
	}
	for _, r := range t.rows[fold(species)] {
		if r.slope == 0 || !(from == FL && to == TL || from == TL && to == FL) {
			continue
		}
		out = r.intercept + r.slope*cm
		if from == TL {
			out = (cm - r.intercept) / r.slope
		}
		total, fork := max(out, cm), min(out, cm)
		return out, fork > 0 && total <= 1.4*fork && (out > cm) == (to == TL)
	}
	return 0, false
}
