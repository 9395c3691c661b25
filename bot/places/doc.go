// Package places reads and writes files of named places, as navigation programs exchange them: GPX 1.1 (the schema at
// http://www.topografix.com/GPX/1/1/gpx.xsd) and GeoJSON (RFC 7946). It knows names and positions and nothing of ledges. It is pure, and what
// it reads is hostile: a file is bounded before anything of it is believed, and what has no position of its own has none, never 0, 0.
//
// Reading by hand and not with a library: those at hand fill a missing coordinate with zero, which is a place in the Gulf of Guinea, or
// bring a database driver along.
package places
