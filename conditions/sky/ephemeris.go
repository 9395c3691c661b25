package sky

import (
	"math"

	"github.com/soniakeys/meeus/v3/base"
	"github.com/soniakeys/meeus/v3/coord"
	"github.com/soniakeys/meeus/v3/moonillum"
	"github.com/soniakeys/meeus/v3/moonposition"
	"github.com/soniakeys/meeus/v3/nutation"
	"github.com/soniakeys/meeus/v3/solar"
	"github.com/soniakeys/unit"
)

// Body is what can be looked at: Sun or Moon.
type Body string

// The bodies At knows.
const (
	Sun  Body = "sun"
	Moon Body = "moon"
)

// auKm is the astronomical unit in kilometres, exact (IAU 2012 resolution B2).
const auKm = 149597870.7

// place is an apparent position seen from the middle of the Earth, equator and equinox of date.
type place struct {
	ra  unit.RA
	dec unit.Angle
	km  float64
}

// sunAt is the apparent sun at an ephemeris day, good to about 0.01 degrees (Meeus chapter 25, low precision).
func sunAt(jde float64) place {
	α, δ := solar.ApparentEquatorial(jde)
	return place{α, δ, solar.Radius(base.J2000Century(jde)) * auKm}
}

// moonAt is the apparent moon at an ephemeris day, good to about 10" in longitude and 4" in
// latitude (Meeus chapters 47 and 22).
func moonAt(jde float64) place {
	λ, β, km := moonposition.Position(jde)
	Δψ, Δε := nutation.Nutation(jde)
	sε, cε := (nutation.MeanObliquity(jde) + Δε).Sincos()
	α, δ := coord.EclToEq(λ+Δψ, β, sε, cε)
	return place{α, δ, km}
}

func bodyAt(b Body, jde float64) place {
	if b == Moon {
		return moonAt(jde)
	}
	return sunAt(jde)
}

// vector is the direction of the place as a unit vector: x to the equinox, z to the north pole.
func (p place) vector() [3]float64 {
	sα, cα := math.Sincos(p.ra.Rad())
	sδ, cδ := p.dec.Sincos()
	return [3]float64{cδ * cα, cδ * sα, sδ}
}

// litAt is the part of the moon's disc that is lit, 0 to 1, seen from the middle of the Earth
// (Meeus formulas 48.1 to 48.3). From the ground it differs by up to 0.01.
func litAt(jde float64) float64 {
	m, s := moonAt(jde), sunAt(jde)
	return base.Illuminated(moonillum.PhaseAngleEq(m.ra, m.dec, m.km, s.ra, s.dec, s.km))
}

// elongationAt is how far the moon is east of the sun along the ecliptic, degrees in [0, 360):
// 0 new, 90 first quarter, 180 full, 270 last quarter. The nutation cancels but for the sun's
// own short form of it, under 1".
func elongationAt(jde float64) float64 {
	λ, _, _ := moonposition.Position(jde)
	Δψ, _ := nutation.Nutation(jde)
	return (λ + Δψ - solar.ApparentLongitude(base.J2000Century(jde))).Mod1().Deg()
}

// moonAltitude is the standard altitude of the moon's centre at rise and set, seen from the ground:
// its radius (0.2725 of its horizontal parallax) and 34' of refraction below the horizon. Seen from
// the middle of a round Earth that is the almanacs' 0.7275 times the parallax less 34' (Meeus p. 102);
// from the flattened one, the ground agrees better with the tables where the moon rises slantwise:
// at 78 north by up to 0.4 minutes.
func moonAltitude(km float64) unit.Angle {
	return -moonposition.Parallax(km).Mul(0.2725) - unit.AngleFromMin(34)
}
