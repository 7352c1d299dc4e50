// Package share opens the program to the phones of a crew, by choice: one address of the local
// network, TLS with a certificate made on the spot, pairing by a code that works once, a role and
// a name for each device, sessions that are bound to the device, limits on how much and how often.
//
// It knows nothing of shoots: what is served are the routes it is given, each with the least role
// that may use it. It must not be reachable on any address but the one that was chosen.
package share
