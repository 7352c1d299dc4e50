package server

import (
	"flag"
	"math"
	"slices"
	"testing"
	"time"

	"halfstop/meter"
	q "halfstop/quantity"
)

func workOf(e float64) meter.Work { return meter.Work{Seed: 9, Error: q.Stops(e)} }

func stopsBetween(a, b float64) float64 { return math.Abs(2 * math.Log2(a/b)) }

var latency = flag.Bool("latency", false, "measure a long drag")

// TestDragLatency drags a light of the demonstration: every edit must get its reading. With
// -latency it is a long drag, and -v tells the time from the edit to the event that says its
// reading is ready; that is for the machine at hand and judged by a person.
func TestDragLatency(t *testing.T) {
	n := 4
	if *latency {
		n = 60
	}
	c := start(t, Options{})
	in := c.events()
	ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
	await(t, in, "first readings", func(e Event) bool { return e.Kind == "readings" })
	var all, post []float64
	for i := range n {
		at := "[4." + string(rune('0'+i%7+2)) + ", 1.05]"
		began := time.Now()
		st := c.edit("move key", "drag", Edit{Set: "setups[0].lights[0].at", Value: at})
		post = append(post, time.Since(began).Seconds()*1000)
		await(t, in, "readings", func(e Event) bool { return e.Kind == "readings" && e.Revision >= st.Revision })
		all = append(all, time.Since(began).Seconds()*1000)
	}
	slices.Sort(all)
	slices.Sort(post)
	t.Logf("edit answered: p50 %.0f ms, p95 %.0f ms; edit to reading: p50 %.0f ms, p95 %.0f ms", post[n/2],
		post[n*95/100], all[n/2], all[n*95/100])
}
