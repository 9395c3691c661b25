// Package sky says when there is light to fish by: sunrise and sunset, civil and nautical twilight,
// moonrise and moonset and transits over a civil day at any place on Earth, when to leave so as to
// walk out in the light, when the moon is up and whether it helps, where the sun and the moon stand
// at an instant, how much of the moon is lit, and when its quarters fall. It is the only user of the
// meeus library, which follows Jean Meeus, Astronomical Algorithms, 2nd edition. The library's traps
// (longitude positive west, a table that ends in 2010, rise and set of one UT day) are dealt with in
// observer, deltaT and DayAt, and tested in traps_test.go.
//
// Instants that come out are UTC, whole seconds. Longitudes that go in are positive east. Angles
// are degrees, azimuths degrees true.
//
// Rise and set are where the centre of the body passes the standard altitude of the almanacs: sun
// -0.8333 (34' of refraction and 16' of radius), civil twilight -6, nautical twilight -12, moon
// 0.7275 times its horizontal parallax less 0.5667, all seen from the middle of the Earth; for the
// moon that is worked out from the ground, on the ellipsoid (see moonAltitude).
// Against the tables of the US Naval Observatory the times are right to a minute, which is as
// finely as those are printed. The sun's position is good to about 0.01 degrees, the moon's to 0.003.
//
// It does not model the height of the eye (from a high cliff the sea horizon lies lower and the
// sun sets about a minute later), hills and cliffs that hide the horizon, weather, or the air of
// the day: refraction close to the horizon varies, so nobody should plan a walk by the minute.
// Cloud is not in it either: an overcast dusk is dark well before civil twilight ends.
//
// Checked against published values from 1950 to 2050 and from 78 south to 78 north. Years outside
// 1900 to 2100 are refused, because the series for the sun are not stated to hold there. Within
// about a degree of the poles, where the sun circles at one height, the times mean little.
package sky
