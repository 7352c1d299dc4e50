package shoot

import (
	"strings"
	"time"
)

// Clock is the zone of the shoot's clocks, by its name in the time zone database or by hours to UTC
// ('+01:00'); false where the file says none that is known. Check: TestClock.
func (p *Place) Clock() (*time.Location, bool) {
	if p.Zone == "" {
		return nil, false
	}
	if l, err := time.LoadLocation(p.Zone); err == nil {
		return l, true
	}
	for _, form := range []string{"-07:00", "-0700", "-07"} {
		if t, err := time.Parse(form, strings.Replace(p.Zone, "−", "-", 1)); err == nil {
			_, off := t.Zone()
			return time.FixedZone(p.Zone, off), true
		}
	}
	return nil, false
}
