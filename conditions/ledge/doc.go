// Package ledge knows one rock ledge: its card, the chance that a wave reaches the feet of
// somebody standing on it (the wash chain), what a watch from the path proves, and what watches
// and reports teach about how far waves run up there.
//
// It is pure: no clock, no files, no network. Heights are metres above the ledge's tide datum,
// directions degrees true and "from", probabilities 0 to 1.
//
// The number is the chance that at least one wave reaches the feet, not the chance of harm.
// The chain takes a plane face, straight depth contours and independent waves, and knows no
// gully, no focusing, no spray, no swell that bends round a point unless told so. Waves that
// break onto the face are flagged and nothing is claimed of them. Nothing here has been tested
// against a real ledge; it agrees with worked scenarios for lips of 3 to 8 m, significant
// heights of 0.6 to 2.2 m and peak periods of 4 to 16 s. No answer of it means "safe".
package ledge
