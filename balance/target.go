package balance

import (
	"math"

	q "halfstop/quantity"
)

// Priority of a target: how much a stop of it counts (see loss.go).
type Priority uint8

const (
	Want Priority = iota // the zero value: what a look says when it says nothing
	Must
	Nice
)

// Kind says what a target speaks of.
type Kind uint8

const (
	Reading      Kind = iota // incident reading at Point, in stops: 2·log2 N
	Level                    // level in the picture at Point, stops to mid-grey
	ReadingAbove             // incident reading at Point over that at To, stops
	LevelAbove               // level in the picture at Point over that at To, stops
	LightsRatio              // incident light of the lights Key over that of the lights Fill at Point, stops
	SidesRatio               // all lights named (Key and Fill) over Fill alone at Point, stops
	Colour                   // distance Δu'v' (CIE 1976) of the picture part at Point from UV, or from that at To
	Warmth                   // mired at Point less mired of White, or less that at To; positive is warmer
	Ambient                  // share of the incident light at Point that is not flash, 0 to 1
	Veil                     // stops by which haze lifts Point in the picture
)

// NoPoint in To means that the target does not refer to another point.
const NoPoint = -1

// Target is one thing wanted of the look: a value of its kind between Lo and Hi. Use the
// constructors (ReadsAt, LevelAt, …): they set what the kind needs. Lo may be minus infinity and Hi
// plus infinity.
type Target struct {
	Name      string
	Kind      Kind
	Point     int
	To        int   // second point, or NoPoint
	Key, Fill []int // lights, for the ratios

	Lo, Hi float64    // wanted range in the kind's unit; equal for a single value
	UV     [2]float64 // wanted u', v' for Colour without To
	White  q.Mired    // reference for Warmth without To

	Within   float64 // tolerance in the kind's unit; zero: by priority, see Tolerance
	Sigma    float64 // one standard deviation of the prediction, in the kind's unit
	Priority Priority
	Strict   bool    // not to be traded for anything
	Weight   float64 // zero means 1
	PerStop  float64 // how much of the kind's unit weighs as one stop; zero: see UnitPerStop
}

// UnitPerStop is what weighs as one stop of a miss for kinds that are not in stops.
//
// Δu'v' 0.01 and 30 mired: 'skin looks different' at ±30 mired is common practice, no source; near
// 5,000 K that is about 0.01 in u'v'. Ambient is judged as the ratio of ambient to flash, in stops.
// Check: TestUnitPerStop.
func (k Kind) UnitPerStop() float64 {
	switch k {
	case Colour:
		return 0.01
	case Warmth:
		return 30
	}
	return 1
}

// ReadsAt wants the incident reading n at point p.
func ReadsAt(p int, n q.FNumber) Target {
	s := 2 * math.Log2(float64(n))
	return Target{Kind: Reading, Point: p, To: NoPoint, Lo: s, Hi: s}
}

// LevelAt wants point p at s stops to mid-grey in the picture.
func LevelAt(p int, s q.Stops) Target {
	return Target{Kind: Level, Point: p, To: NoPoint, Lo: float64(s), Hi: float64(s)}
}

// Darkest wants point p not under s in the picture.
func Darkest(p int, s q.Stops) Target {
	return Target{Kind: Level, Point: p, To: NoPoint, Lo: float64(s), Hi: math.Inf(1)}
}

// Brightest wants point p not over s in the picture.
func Brightest(p int, s q.Stops) Target {
	return Target{Kind: Level, Point: p, To: NoPoint, Lo: math.Inf(-1), Hi: float64(s)}
}

// Above wants point p brighter in the picture than point to by s stops (negative: darker).
func Above(p, to int, s q.Stops) Target {
	return Target{Kind: LevelAbove, Point: p, To: to, Lo: float64(s), Hi: float64(s)}
}

// ReadsAbove wants the incident reading at p over that at to by s stops (negative: under it).
func ReadsAbove(p, to int, s q.Stops) Target {
	return Target{Kind: ReadingAbove, Point: p, To: to, Lo: float64(s), Hi: float64(s)}
}

// RatioOfLights wants 'ratio:1' in the lights convention at p: what the key gives alone over what
// the fill gives alone.
func RatioOfLights(p int, key, fill []int, ratio float64) Target {
	s := math.Log2(ratio)
	return Target{Kind: LightsRatio, Point: p, To: NoPoint, Key: key, Fill: fill, Lo: s, Hi: s}
}

// RatioOfSides wants 'ratio:1' in the sides convention at p: key and fill together over the fill
// alone. Where both sides of the face are points, ReadsAbove(lit, shadow, log2 ratio) says it of
// what a meter reads there, room bounce included.
func RatioOfSides(p int, key, fill []int, ratio float64) Target {
	s := math.Log2(ratio)
	return Target{Kind: SidesRatio, Point: p, To: NoPoint, Key: key, Fill: fill, Lo: s, Hi: s}
}

// ColourAt wants the picture part at p within tolerance (Δu'v') of the CIE 1976 chromaticity u',
// v'.
func ColourAt(p int, u, v, tolerance float64) Target {
	return Target{Kind: Colour, Point: p, To: NoPoint, UV: [2]float64{u, v}, Within: tolerance}
}

// ColourLike wants the picture part at p within tolerance (Δu'v') of that at point to.
func ColourLike(p, to int, tolerance float64) Target {
	return Target{Kind: Colour, Point: p, To: to, Within: tolerance}
}

// WarmerThan wants p warmer than a white by shift mired (negative: cooler).
func WarmerThan(p int, white, shift q.Mired) Target {
	return Target{Kind: Warmth, Point: p, To: NoPoint, White: white, Lo: float64(shift), Hi: float64(shift)}
}

// WarmerThanPoint wants p warmer than point to by shift mired.
func WarmerThanPoint(p, to int, shift q.Mired) Target {
	return Target{Kind: Warmth, Point: p, To: to, Lo: float64(shift), Hi: float64(shift)}
}

// AmbientShare wants the share of incident light at p that is not flash between lo and hi (0 to 1).
func AmbientShare(p int, lo, hi q.Share) Target {
	return Target{Kind: Ambient, Point: p, To: NoPoint, Lo: float64(lo), Hi: float64(hi)}
}

// VeilAtMost wants haze to lift p by no more than s stops.
func VeilAtMost(p int, s q.Stops) Target {
	return Target{Kind: Veil, Point: p, To: NoPoint, Lo: math.Inf(-1), Hi: float64(s)}
}

func (t Target) check(i int, p Problem, bad func(string, ...any)) {
	if t.Kind > Veil {
		bad("target %d %q: kind %d", i, t.Name, t.Kind)
		return
	}
	if t.Point < 0 || t.Point >= len(p.Points) {
		bad("target %d %q: point %d of %d", i, t.Name, t.Point, len(p.Points))
	}
	needsTo := t.Kind == ReadingAbove || t.Kind == LevelAbove
	mayTo := needsTo || t.Kind == Colour || t.Kind == Warmth
	if t.To >= len(p.Points) || t.To < NoPoint || needsTo && t.To == NoPoint || !mayTo && t.To > 0 {
		bad("target %d %q: second point %d of %d", i, t.Name, t.To, len(p.Points))
	}
	if t.Kind == LightsRatio || t.Kind == SidesRatio {
		if len(t.Key) == 0 || len(t.Fill) == 0 {
			bad("target %d %q: a ratio needs a key and a fill", i, t.Name)
		}
		for _, set := range [][]int{t.Key, t.Fill} {
			for _, g := range set {
				if g < 0 || g >= len(p.Lights) {
					bad("target %d %q: light %d of %d", i, t.Name, g, len(p.Lights))
				}
			}
		}
	}
	if math.IsNaN(t.Lo) || math.IsNaN(t.Hi) || t.Lo > t.Hi || math.IsInf(t.Lo, 1) || math.IsInf(t.Hi, -1) {
		bad("target %d %q: wants %g to %g", i, t.Name, t.Lo, t.Hi)
	}
	if t.Kind == Ambient && (t.Lo > 1 || t.Hi < 0) {
		bad("target %d %q: a share lies between 0 and 1", i, t.Name)
	}
	if t.Kind == Colour && !(within(t.UV[0], 0, 1) && within(t.UV[1], 0, 1)) {
		bad("target %d %q: u' %g v' %g", i, t.Name, t.UV[0], t.UV[1])
	}
	if !within(float64(t.White), 0, 2000) {
		bad("target %d %q: white at %g mired", i, t.Name, float64(t.White))
	}
	if !within(t.Within, 0, 1e6) || !within(t.Sigma, 0, 1e6) || !within(t.Weight, 0, 1e3) ||
		!within(t.PerStop, 0, 1e6) || t.PerStop > 0 && t.PerStop < 1e-6 {
		bad("target %d %q: within %g, weight %g, per stop %g", i, t.Name, t.Within, t.Weight, t.PerStop)
	}
	if t.Priority > Nice {
		bad("target %d %q: priority %d", i, t.Name, t.Priority)
	}
}
