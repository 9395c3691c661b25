// Package warning judges official warnings for somebody on a rock ledge: which messages still
// stand, how grave each is, and whether its area takes in the ledge.
//
// It reads messages of the Common Alerting Protocol (OASIS CAP 1.2, and 1.1) and the Atom and
// RSS indexes they are found by, and judges the alerts that package feed has read from the US
// weather service. It fetches nothing. It never says that nothing threatens: an empty list only
// means that these messages name nothing, and what cannot be placed, dated or understood is
// kept and shown.
//
// Areas are polygons and circles on a sphere, good to the kilometres that outlines of warning
// zones are drawn with, and codes as far as somebody has an outline for them; altitudes are not
// read. The table of events is written for the products of the US weather service; names from
// elsewhere are judged by the words in them, and by the levels of the European services.
package warning
