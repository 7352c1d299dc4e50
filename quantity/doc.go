// Package quantity holds the trade's measures as types: stops, lux, lux seconds, candela, metres,
// kelvin, mired, f-number, shutter time, sensitivity, power settings. It parses what a photographer
// writes and prints it so that it reads back exactly.
//
// It must not know files, shoots or light transport. One measure becomes another by named methods
// only, so that a reading in lux cannot be added to one in lux seconds by mistake.
package quantity
