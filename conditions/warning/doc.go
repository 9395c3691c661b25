// Package warning judges official warnings for somebody on a rock ledge: which messages still
// stand, how grave each is, and whether its area takes in the ledge.
//
// It does not fetch or parse feeds, draws no polygons (areas are matched by zone code only),
// and never says that nothing threatens: an empty list only means these messages name nothing.
// The table of events is written for the products of the US weather service; names from
// elsewhere are judged by the words in them.
package warning
