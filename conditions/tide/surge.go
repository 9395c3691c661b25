package tide

import "ledgehand/conditions/measure"

// StandardPressure is the pressure at sea level of the standard atmosphere (ISO 2533), hPa.
const StandardPressure = 1013.25

// perHPa is the height of sea water that one hectopascal holds up: 100 Pa over 1025 kg/m³ and 9.81 m/s². The rule of thumb
// is a centimetre.
const perHPa = 100 / (1025 * 9.81)

// InverseBarometer is an estimate of how much higher than predicted the sea stands under an air pressure at sea level in
// hPa, metres; negative under high pressure. It is what still air would do in the end. Wind, the speed of a low and the
// shape of the shelf can make the true surge several times as much, or none of it.
func InverseBarometer(hPa float64) measure.Metres {
	return measure.Metres((StandardPressure - hPa) * perHPa)
}
