// Package session holds the use cases' ground: crews and people, and the one way to change
// them. A use case is a function over a Tx: it loads records, applies pure state machines
// from trip, outing, watch and catch, says what it has to say, and everything it did is
// committed in one atomic step together with the id of what caused it, or not at all.
// The sweep does the same for what has become due. The package declares the Store it needs
// and knows neither Redis nor any chat service, nor tides.
package session
