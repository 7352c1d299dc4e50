package day

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/diag"
	"halfstop/kit"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// speeds are how fast a sitter's outline goes, metres a second: common practice, no source. A
// walking pace is 1.2 m/s in pedestrian planning; an arm that is flung goes faster than any of it.
var speeds = map[string]float64{"still": 0.01, "turns": 0.3, "walks": 1.2, "jumps": 3}

// smear is what shows at the sitter, metres: what a still sitter moves at the slowest shutter that
// is taken for one, 1/40 s.
const smear = 0.01 / stillFrom

// motion finds what a sitter's movement does: ghosts beside the flash by steady light, smears
// within a long flash, and what high speed sync costs.
func (c *checker) motion(s *shoot.Setup, path string) {
	cam := s.Camera
	if cam == nil || cam.Shutter <= 0 {
		return
	}
	if loss := optics.HighSpeed(cam.Shutter, cam.Sync); cam.HighSpeed && loss < 0 && c.flash(s) != nil {
		c.say(diag.Caution, "day.high-speed", path+".camera.shutter",
			fmt.Sprintf("two stops at once beyond the sync speed %v, then one a stop of shutter (a figure of practice)",
				cam.Sync), fmt.Sprintf("take %v or longer and hold the daylight with ND", cam.Sync),
			"%s: high speed sync at %v costs the flash %.1f st", s.Name, cam.Shutter, -float64(loss))
	}
	if s.Sitter == nil {
		return
	}
	how := "still"
	if s.Day != nil && s.Day.Sitter != "" {
		how = s.Day.Sitter
	}
	v, t := speeds[how], float64(cam.Shutter)
	limit := fmt.Sprintf("%.2f mm: what a sitter who keeps still moves in 1/%.0f s (common practice, no source)",
		1000*smear, stillFrom)
	slow := c.flash(s)
	if slow == nil {
		return
	}
	if steady := c.steady(s); steady != "" && Smear(v, cam.Shutter) > 1.02*smear {
		need := math.Ceil(v / smear)
		fix := fmt.Sprintf("take 1/%.0f s where the sync allows it, or steady light three stops under the flash", need)
		c.say(diag.Finding, "day.ghost", path+".camera.shutter", limit, fix,
			"%s: the flash draws the sitter sharp, %s goes on for %v: edges double by %.1f mm of a sitter who %s",
			s.Name, steady, q.Seconds(t), 1000*Smear(v, cam.Shutter), keeps(how))
	}
	if t01 := slow.Duration; Smear(v, t01) > smear {
		c.say(diag.Finding, "day.flash-blur", path+".camera", limit,
			"less power where the head gets shorter by it, a head with a shorter flash, or a sitter who moves less",
			"%s: the %s flashes for %v (t0.1, full): a sitter who %s smears by %.1f mm", s.Name, slow.Name, t01,
			keeps(how), 1000*Smear(v, t01))
	}
}

func keeps(how string) string {
	if how == "still" {
		return "keeps still"
	}
	return how
}

// Smear gives how far what moves at v metres a second goes within t, metres.
func Smear(v float64, t q.Seconds) float64 { return v * float64(t) }

// flash is the head of a setup that flashes longest; nil: none flashes.
func (c *checker) flash(s *shoot.Setup) *kit.Head {
	var slow *kit.Head
	for i := range s.Lights {
		l := &s.Lights[i]
		if h, ok := c.kit.FindHead(l.Head); ok && !l.Off && h.Kind == "flash" && (slow == nil ||
			h.Duration > slow.Duration) {
			slow = &h
		}
	}
	return slow
}

// steady names a light of a setup that is on all the time; empty: none is known.
func (c *checker) steady(s *shoot.Setup) string {
	for i := range s.Lights {
		l := &s.Lights[i]
		if h, ok := c.kit.FindHead(l.Head); ok && !l.Off && h.Kind == "continuous" {
			return called(l.Name, l.Role)
		}
	}
	off := func(name string) bool {
		return slices.ContainsFunc(s.Off, func(n string) bool { return strings.EqualFold(n, name) })
	}
	for i := range c.f.Room.Practicals {
		if p := &c.f.Room.Practicals[i]; !p.Off && !off(p.Name) {
			return p.Name
		}
	}
	for i := range c.f.Room.Windows {
		if w := &c.f.Room.Windows[i]; !off(w.Name) && c.f.Room.Outside.Sky != "none" {
			return called(w.Name, "window")
		}
	}
	return ""
}
