package main

import (
	"strings"
	"testing"

	"halfstop/answer"
	"halfstop/meter"
)

// TestBlackSaid: a point under the sensor's noise is called black, with where that begins, and does
// not count among the points that are to be computed finer; one over the clip is said to clip, and
// one that is neither is told by its figure alone.
func TestBlackSaid(t *testing.T) {
	m := &answer.Metered{Measured: &meter.Measured{}}
	m.Facts.Floor, m.Facts.Clip = -7.7, 3
	m.Readings = []meter.Reading{{Name: "cheek", Stops: 0.4, Error: 0.02}, {Name: "lamp", Stops: 4, Error: 0.01},
		{Name: "hands", Stops: -9.3, Error: 0.3, StopsOf: "card"}}
	for i, want := range []string{"+0.4 st", "+4.0 st (clips)", "−9.3 st (black)"} {
		if got := pictureLevel(&m.Readings[i], &m.Facts); got != want {
			t.Errorf("%s: %q, not %q", m.Readings[i].Name, got, want)
		}
	}
	all := strings.Join((&meterOptions{error: 0.03}).accuracySaid(m), "\n")
	for said, want := range map[string]bool{"Computed to 0.02 st": true, "Black: under −7.7 st": true,
		"not yet": false} {
		if strings.Contains(all, said) != want {
			t.Errorf("%q said: %v, want %v: %s", said, !want, want, all)
		}
	}
}
