package shoot

import (
	"testing"
	"time"
)

// TestClock: a zone by name, and by hours with either minus; what is neither is not known.
func TestClock(t *testing.T) {
	noon := time.Date(2026, 1, 15, 12, 0, 0, 0, time.UTC)
	for zone, want := range map[string]string{"Europe/London": "12:00", "+01:00": "13:00", "-03:30": "08:30",
		"−03:30": "08:30", "+0545": "17:45", "": "", "summer": ""} {
		p := Place{Zone: zone}
		l, ok := p.Clock()
		if ok != (want != "") {
			t.Errorf("%q is known: %v", zone, ok)
		} else if ok && noon.In(l).Format("15:04") != want {
			t.Errorf("%q: %s", zone, noon.In(l).Format("15:04"))
		}
	}
}
