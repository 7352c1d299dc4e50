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

// speeds are the shutter times engraved on cameras in thirds of a stop, as parts of a second.
var speeds = [...]float64{8000, 6400, 5000, 4000, 3200, 2500, 2000, 1600, 1250, 1000, 800, 640, 500, 400, 320, 250,
	200, 160, 125, 100, 80, 60, 50, 40, 30, 25, 20, 15, 13, 10, 8, 6, 5, 4}

// steadySwing is the swing from frame to frame that nobody sees, stops (common practice, no
// source).
const steadySwing = 0.05

// SteadySpeeds gives the engraved shutter speeds at which a lamp whose light swings by ±modulation
// at f gives the same exposure from frame to frame to 0.05 stops: the nearest that is not longer
// than t and the two nearest that are longer, shortest first. None where no speed from 1/8000 to
// 1/4 s does. Check: TestSteadySpeeds (I4).
func SteadySpeeds(modulation q.Share, f q.Hertz, t q.Seconds) []q.Seconds {
	var shorter, longer []q.Seconds
	for _, n := range speeds {
		s := q.Seconds(1 / n)
		if Swing(modulation, f, s) > steadySwing {
			continue
		}
		if s <= t*1.001 {
			shorter = append(shorter[:0], s)
		} else if len(longer) < 2 {
			longer = append(longer, s)
		}
	}
	return append(shorter, longer...)
}
