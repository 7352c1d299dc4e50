package meter

import (
	"fmt"
	"math"
	"testing"
)

// What the file says of a light shows in a reading: a feathered emitter's beam falls by its own
// law, and a zoomed flash gains what its table says on the axis.

// A small disc whose intensity falls as a power of the cosine to half at 30° (beam: 60 deg), aimed
// at the meter and feathered by a: the reading falls by log2 of cos^n a, n = ln ½ / ln cos 30°
// (the file's law of a beam): 1 stop at 30°, 0.24 at 15°, either way round. Its distance is forty
// times its size and the room is empty: ± 0.02 st.
func TestFeatheredReading(t *testing.T) {
	const src = "halfstop: 1\nsetups: [{name: s, camera: {at: [0, -4], height: 2 m, aim: [0, 0, 2]}, " +
		"lights: [{name: l, " +
		"at: [4, 0, 2], aim: [0, 0, 2], feather: %g deg, emitter: {shape: disc, size: 0.1, intensity: 1000 cd, " +
		"beam: 60 deg}}], points: [{name: p, at: [0, 0, 2], facing: x+}]}]\n"
	at := func(a float64) float64 {
		r := readings(t, staged(t, fmt.Sprintf(src, a)), Work{Seed: 1, Error: 0.005})[0]
		return 2 * math.Log2(float64(r.FNumber))
	}
	straight := at(0)
	n := math.Log(0.5) / math.Log(math.Cos(math.Pi/6))
	for _, a := range []float64{15, -15, 30, -30} {
		want := n * math.Log2(math.Cos(a*math.Pi/180))
		if got := at(a) - straight; math.Abs(got-want) > 0.02 {
			t.Errorf("feathered by %g°: %.3f st, by the law %.3f", a, got, want)
		}
	}
}

// The shoe flash of the catalogue gains a stop on the axis from 24 to 105 mm (its own table; 'the
// zoomed tube +1', a published test of losses), and in between what the table's law gives at both
// ends: more tele is never less.
func TestZoomedReading(t *testing.T) {
	const src = "halfstop: 1\nsetups: [{name: s, camera: {at: [0, -4], height: 2 m, aim: [0, 0, 2]}, " +
		"lights: [{name: l, " +
		"head: shoe flash, zoom: %g mm, at: [5, 0, 2], aim: [0, 0, 2], power: 1/4}], " +
		"points: [{name: p, at: [0, 0, 2], facing: x+}]}]\n"
	var last float64
	read := map[float64]float64{}
	for _, mm := range []float64{24, 35, 50, 80, 105} {
		r := readings(t, staged(t, fmt.Sprintf(src, mm)), Work{Seed: 1, Error: 0.005})[0]
		read[mm] = 2 * math.Log2(float64(r.FNumber))
		if read[mm] < last-0.01 {
			t.Errorf("at %g mm the reading is %.2f st less", mm, last-read[mm])
		}
		last = read[mm]
	}
	if gain := read[105] - read[24]; math.Abs(gain-1) > 0.05 {
		t.Errorf("24 to 105 mm gains %.2f st", gain)
	}
}
