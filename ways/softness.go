package ways

import (
	"fmt"
	"math"

	q "halfstop/quantity"
)

// What the size of a key is judged by (judgement): the largest face that is carried to a portrait,
// as the angle that it covers and in metres, the smallest, and the least that a change of size must
// bring to be worth the words, stops.
const (
	largestCover = 75.0
	largestFace  = 2.2
	smallestFace = 0.15
	worthSize    = 0.3
	reachesIt    = 0.3 // stops from what is wanted: where no face comes so near, it is not the size
)

// size returns the cause 'too hard' or 'too soft' of a difference between the cheeks: the key's
// face as the sitter sees it, and the face that would do from the same place. Its direct light
// falls on both cheeks by the share of the face that stands over their horizons; all other light is
// held.
// Check: TestSizeOfKey.
func (b *Balanced) size(lit, shade int, want, got float64) (c Cause, ok bool) {
	key := b.Stage.LayerNamed("key")
	if key < 0 || b.Stage.Layers[key].Light < 0 || len(b.Stage.Layers[key].Bodies) == 0 {
		return c, false
	}
	facts := factsOf(b.Stage, key)
	if direct, _, _ := b.part(key, lit); facts == nil || direct < 0.5 || !(facts.Covers > 0) || facts.Distance <= 0 {
		return c, false
	}
	now := float64(facts.Covers)
	face := func(covers float64) float64 {
		return 2 * float64(facts.Distance) * math.Tan(covers/2*math.Pi/180)
	}
	step, hard := -2.5, got > want
	if hard {
		step = 2.5
	}
	best, reached := 0.0, got
	for a := now + step; a > 0 && a <= largestCover && face(a) >= smallestFace && face(a) <= largestFace; a += step {
		best, reached = a, b.wraps(key, lit, shade, a)
		if hard && reached <= want+0.1 || !hard && reached >= want-0.1 {
			break
		}
	}
	if best == 0 || math.Abs(got-reached) < worthSize || (got-reached > 0) != hard ||
		math.Abs(reached-want) > reachesIt {
		return c, false
	}
	name := b.Stage.Layers[key].Name
	c = Cause{Kind: TooSoft, Light: key, Buys: q.Stops(math.Abs(got - reached)),
		Words: fmt.Sprintf("%s is too soft for it: it covers %.0f° seen from the face and wraps round to %s", name, now,
			b.pointName(shade))}
	if hard {
		c.Kind = TooHard
		c.Words = fmt.Sprintf("%s is too hard for it: it covers %.0f° seen from the face, and little of it comes "+
			"round to %s", name, now, b.pointName(shade))
	}
	c.Remedy = fmt.Sprintf("a face of about %.1f m where it stands (%.0f°) gives %.1f:1", face(best), best,
		math.Exp2(reached))
	if !hard {
		c.Remedy += fmt.Sprintf("; or the same face from about %.1f m, from %.1f",
			face(now)/2/math.Tan(best/2*math.Pi/180), float64(facts.Distance))
	}
	return c, true
}

// wraps is the difference between the cheeks in stops, were the face of a light to cover so many
// degrees from where it stands.
func (b *Balanced) wraps(key, lit, shade int, covers float64) float64 {
	half, now := covers/2*math.Pi/180, float64(factsOf(b.Stage, key).Covers)/2*math.Pi/180
	at := b.Stage.Layers[key].Bodies[0].At
	gives := func(p int, half float64) float64 {
		pt := &b.Stage.Points[p]
		d := at.Sub(pt.At)
		return wrapped(pt.Normal.Dot(d)/d.Len(), half) / d.Len2()
	}
	el, es := b.After[lit].Exposure, b.After[shade].Exposure
	dl, _, _ := b.part(key, lit)
	ds, _, _ := b.part(key, shade)
	level := float64(b.After[lit].FNumber.StopsOver(b.After[shade].FNumber)) - math.Log2(el/es) // of the receptors
	strength := el * dl / math.Max(gives(lit, now), 1e-9)
	return math.Log2((el*(1-dl)+strength*gives(lit, half))/(es*(1-ds)+strength*gives(shade, half))) + level
}
