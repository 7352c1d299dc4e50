// Package speed measures how long pictures take to be good enough: those of the zoo (`make
// speed-zoo`) and the demonstration's (`make speed-frame`). docs/speed.md keeps what was measured.
package speed
