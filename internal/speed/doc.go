// Package speed measures how long the demonstration's pictures take to be good enough: `make
// speed-frame`. docs/speed.md keeps what was measured.
package speed
