package day

import (
	"math"
	"math/rand/v2"
	"testing"

	"halfstop/kit"
)

// A crew that takes 1.4 times as long as usual, with a fifth of chance: by thirty times its plan is
// within 6 % of its own mean, and its most is over what nineteen of twenty times took; by one the
// plan moves toward it, and no more than half the way. With none nothing moves.
func TestPaces(t *testing.T) {
	usual := Duration{3, 5, 8}
	durs := map[string]Duration{"rig a light": usual}
	mean := func(d Duration) float64 { return (d.Low + d.Likely + d.High) / 3 }
	took := func(r *rand.Rand) kit.Timing {
		return kit.Timing{Action: "Rig a light", Usual: kit.Minutes(mean(usual)),
			Took: kit.Minutes(mean(usual) * 1.4 * math.Exp(0.2*r.NormFloat64()-0.02))}
	}
	if p := paces(durs, nil); len(p) != 0 {
		t.Error(p)
	}
	one := paces(durs, []kit.Timing{{Action: "rig a light", Took: kit.Minutes(1.4 * mean(usual)),
		Usual: kit.Minutes(mean(usual))}})
	if f := mean(one[0].Now) / mean(usual); f < 1.05 || f > 1+0.5*0.4+0.001 {
		t.Errorf("one time moves the mean by %.3f", f)
	}
	far, over, all := 0, 0, 0
	for seed := range uint64(100) {
		r := rand.New(rand.NewPCG(seed, 1))
		var list []kit.Timing
		for range 30 {
			list = append(list, took(r))
		}
		p := paces(durs, list)[0]
		if p.Timed != 30 || p.Usual != usual || p.Now.Check() != nil {
			t.Fatalf("%+v", p)
		}
		// Thirty times of 20 % have a mean that is known to 3.7 %: 95 of 100 lie within 7.4 %.
		if e := mean(p.Now)/(1.4*mean(usual)) - 1; math.Abs(e) > 0.074+0.02 {
			far++
		}
		for range 20 {
			all++
			if float64(took(r).Took) > p.Now.High {
				over++
			}
		}
	}
	if far > 8 || over > all/20 {
		t.Errorf("%d of 100 crews far off; %d of %d times over the most", far, over, all)
	}
	// A forgotten button says nothing.
	if p := paces(durs, []kit.Timing{{Action: "rig a light", Took: 600, Usual: 5}}); len(p) != 0 {
		t.Error(p)
	}
}
