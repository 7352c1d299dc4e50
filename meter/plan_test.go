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
			z := math.Abs(tally.Mean()-1-f*edge) / scatter(&tally, edge)
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
