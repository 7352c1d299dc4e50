package optics

import (
	"math"

	q "halfstop/quantity"
)

// FlashThrough returns what a focal-plane shutter of time t lets through of a flash: lit, the part
// of the frame that sees it, and inside, the part of the pulse that this part of the frame gets.
//
// Both curtains cross the frame in the time sync; the flash fires when the first arrives. At t =
// sync the second is just about to start; at shorter times it has covered 1 - t/sync of the frame
// by then, which stays black. t01 is the time the flash takes to fall to a tenth, counted as an
// exponential decay; 0 is an instant. inside holds for the rows that open last; those that opened
// first get less of a long pulse. High-speed sync is another thing: see HighSpeed. Check: A6.10,
// TestFlashThrough. Source: derived.
func FlashThrough(t, sync, t01 q.Seconds) (lit, inside q.Share) {
	if !(t > 0) {
		return 0, 0
	}
	lit, inside = 1, 1
	if sync > 0 {
		lit = q.Share(min(1, float64(t/sync)))
	}
	if t01 > 0 {
		inside = PulseShare(t, t01)
	}
	return lit, inside
}

// PulseShare returns the part of an exponential pulse that falls into the time t from its start: 1
// - 10^(-t/t0.1). Check: A6.10.
func PulseShare(t, t01 q.Seconds) q.Share {
	if !(t > 0) {
		return 0
	}
	if !(t01 > 0) {
		return 1
	}
	return q.Share(1 - math.Pow(10, -float64(t/t01)))
}

// HighSpeed returns the loss against a full flash when it burns as a long glow through a travelling
// slit: 2 stops on entering, then one a stop of shutter. 0 at sync and slower. Source: a figure
// from a camera forum, common practice, no better one; measure your own.
func HighSpeed(t, sync q.Seconds) q.Stops {
	if !(t > 0 && sync > 0) || t >= sync {
		return 0
	}
	return q.Stops(-2 + math.Log2(float64(t/sync)))
}

// Ripple returns what is left, after averaging over shutter time t, of a sine ripple of frequency
// f: |sin(πft)/(πft)|, 0 to 1. Lamps on the mains ripple at twice its frequency. Check: I4.1–I4.7.
func Ripple(f q.Hertz, t q.Seconds) float64 {
	x := math.Pi * float64(f) * float64(t)
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return 1
	}
	return math.Abs(math.Sin(x) / x)
}

// Swing returns how far the exposure moves from frame to frame, brightest to darkest, under a lamp
// whose light swings by ±modulation (0 to 1) at f. Check: I4.9.
func Swing(modulation q.Share, f q.Hertz, t q.Seconds) q.Stops {
	r := float64(modulation) * Ripple(f, t)
	if !(r > 0) {
		return 0
	}
	if r >= 1 {
		return q.Stops(math.Inf(1))
	}
	return q.Stops(math.Log2((1 + r) / (1 - r)))
}

// SafeTimes reports the shutter times near t, not longer and not shorter, that are whole periods of
// the ripple f and so cancel it; shorter is 0 when t is less than one period.
func SafeTimes(f q.Hertz, t q.Seconds) (shorter, longer q.Seconds) {
	if !(f > 0 && t > 0) {
		return 0, 0
	}
	// a hair of room, so that 1/50 s counts as two whole periods of 100 Hz
	n := math.Floor(float64(t)*float64(f) + 1e-9)
	shorter = q.Seconds(n / float64(f))
	longer = shorter
	if math.Abs(float64(t)-float64(shorter)) > 1e-9*float64(t) {
		longer = q.Seconds((n + 1) / float64(f))
	}
	return shorter, longer
}
