// Package wave holds the wave theory a rock ledge needs: linear dispersion and what follows
// from it (shoaling, refraction, breaking), the statistics of single waves in a sea state,
// conversion between the kinds of wave period, how directions and headlands thin a swell,
// how high water runs up a face, and the wind over the edge.
//
// Everything is a function of its arguments; directions are degrees true, "from".
//
// It does not model currents, diffraction and focusing around real headlands and gullies,
// non-linear waves, wave set-up, spray, or water thrown by waves that break onto the face.
// Linear theory was checked for omega²h/g from 1e-6 to 1e3 (periods 2 to 25 s in any depth
// a ledge has); the height laws up to 2.2 times the significant height; run-up is laboratory
// work on plane faces and carries a factor of about two on natural rock.
package wave
