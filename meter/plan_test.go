package meter

import (
	"math"
	"testing"

	"halfstop/sample"
	"halfstop/trace"
)

// TestCutSample: where an edge cuts one sample of each randomisation, so that a part f of them sees
// the emitter there, the stated 95 % intervals hold the truth 94 to 97 times in 100 on average over
// f, and no more than one in 2,000 is off by more than 4 standard errors. By the binomial law, no
// sampling. With the scatter alone they hold 91 in 100 and 61 of 1,000 are far off.
func TestCutSample(t *testing.T) {
	const shares, edge = 1000, 0.3
	held, far := 0.0, 0.0
	for i := range shares {
		f := (float64(i) + 0.5) / shares
		p := math.Pow(1-f, trace.Reps) // of k randomisations that see it
		for k := 0; k <= trace.Reps; k++ {
			var tally sample.Tally
			for r := range trace.Reps {
				if r < k {
					tally.Add(1 + edge)
				} else {
					tally.Add(1)
				}
			}
			z := math.Abs(tally.Mean()-1-f*edge) / scatter(&tally, edge, 0)
			if z <= 1.96 {
				held += p / shares
			}
			if z > 4 {
				far += p / shares
			}
			p *= float64(trace.Reps-k) / float64(k+1) * f / (1 - f)
		}
	}
	t.Logf("%.1f %% held, %.2f of 1,000 beyond 4 standard errors", 100*held, 1000*far)
	if !(held > 0.94 && held < 0.97) {
		t.Errorf("%.1f %% of the stated 95 %% intervals hold the truth", 100*held)
	}
	if far > 1.0/2000 {
		t.Errorf("%.2f of 1,000 are off by more than 4 standard errors", 1000*far)
	}
}

// TestStopRule: readings that end when their error is small enough, as plan has it, lie within 1, 2
// and 3 of their stated errors at least as often as a normal law says, and no more than 5 in 100
// oftener, though small errors end them. Where few strong paths bring a tenth of the light the look
// before keeps those that are far off fewer. Randomisations are drawn, not traced.
func TestStopRule(t *testing.T) {
	const tries, asked = 4000, 0.004
	// strong is how seldom a path is strong; 0: never.
	run := func(strong float64, known bool) (in [3]float64) {
		for k := range uint64(tries) {
			noise, at := sample.New(5, k), uint32(0)
			normal := func() float64 {
				at++
				return math.Sqrt(-2*math.Log(noise.Noise(at, 0))) * math.Cos(2*math.Pi*noise.Noise(at, 1))
			}
			// Errors of one path so unlike that a reading takes from one look to five.
			spread := 0.05 * math.Exp2(5*noise.Noise(0, 2))
			var sum [trace.Reps]float64
			next := 0.0
			for done, goal, forecast := 0, 16, 0.0; ; {
				var tally sample.Tally
				for r := range sum {
					sum[r] += spread * math.Sqrt(float64(goal-done)) * normal()
					if strong > 0 {
						sum[r] -= 0.1 * float64(goal-done)
						for next -= float64(goal - done); next < 0; next -= strong * math.Log(noise.Noise(at, 3)) {
							sum[r] += 0.1 * strong
							at++
						}
					}
					tally.Add(1 + sum[r]/float64(goal))
				}
				first := done == 0
				done = goal
				rel := scatter(&tally, 0, forecast) / tally.Mean()
				times := need(rel, 0, 0, asked, first)
				if times <= 1 || done > 1<<16 {
					for i := range in {
						if math.Abs(tally.Mean()-1) <= float64(i+1)*rel*tally.Mean() {
							in[i] += 1.0 / tries
						}
					}
					break
				}
				goal = int(math.Ceil(float64(done) * min(8, max(leastMore, times))))
				if known {
					forecast = tally.StdErr() * tally.StdErr() * trace.Reps * float64(done) / float64(goal)
				}
			}
		}
		return in
	}
	even := run(0, true)
	t.Logf("%.4f", even)
	for i, want := range [3]float64{0.6827, 0.9545, 0.9973} {
		slack := 2 * math.Sqrt(want*(1-want)/tries)
		if even[i] < want-slack || even[i] > want+slack+0.05 {
			t.Errorf("%.2f %% within %d stated errors, want %.2f %%", 100*even[i], i+1, 100*want)
		}
	}
	with, without := run(300, true), run(300, false)
	t.Logf("one of 300 paths strong: %.4f; without the look before %.4f", with, without)
	if 1-with[2] > 0.005 || 1-without[2] < 1.3*(1-with[2]) {
		t.Errorf("one of 300 paths strong: %.2f %% beyond 3 stated errors; without the look before %.2f %%",
			100*(1-with[2]), 100*(1-without[2]))
	}
}
