// Package dmx turns settings of networked heads into DMX512 slots, and slots into the packets of
// ANSI E1.31 (streaming ACN, "sACN"), as bytes.
//
// It knows no socket and no clock: internal/send sends what it makes, at its rate. It knows no
// shoot either: the caller gives levels from 0 to 1.
package dmx
