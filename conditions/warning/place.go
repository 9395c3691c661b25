package warning

import "slices"

// Place says whether an area given as zone codes (UGC of the US weather service: two letters
// of state or sea, Z for a zone or C for a county, three digits) takes in a ledge whose own
// zones are listed. The answer is no only if the list has a zone of the same kind for every
// code of the area: somebody who listed the land zone has not said where on the sea they are.
// In every other case without a match it is nil, not known.
func Place(codes, zones []string) *bool {
	if len(codes) == 0 || len(zones) == 0 {
		return nil
	}
	yes, no := true, false
	for _, c := range codes {
		if slices.Contains(zones, c) {
			return &yes
		}
	}
	for _, c := range codes {
		if len(c) < 3 || !slices.ContainsFunc(zones, func(z string) bool { return len(z) >= 3 && z[:3] == c[:3] }) {
			return nil
		}
	}
	return &no
}
