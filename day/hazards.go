package day

import (
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/kind"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// Limits of what could hurt someone.
const (
	clothFrom = 1.0    // m from a hot lamp to cloth (common practice, no source)
	bareNear  = 0.6    // m from a bare flash to a face (common practice, no source)
	domestic  = 2000.0 // W of lighting at most on a domestic point: a published rule
	// Flashes a second that can harm photosensitive people, and the most that clubs are advised: an
	// epilepsy charity's published figures.
	strobeLow, strobeHigh, strobeClub = 3.0, 30.0, 4.0
)

// hot says what stands too near to a lamp that burns: cloth, foam, paper.
func (c *checker) hot(s *shoot.Setup, l *shoot.Light, path string) {
	h, ok := c.kit.FindHead(l.Head)
	if !ok || !h.Hot {
		return
	}
	name := s.Name + ", " + called(l.Name, l.Role)
	limit := fmt.Sprintf("%.0f m (common practice, no source); its maker's figure beats it", clothFrom)
	const fix = "further off, or cloth made for heat; somebody watches it; let it cool before striking"
	if m, ok := c.kit.FindModifier(l.Modifier); ok {
		if k, ok := kind.FindModifier(m.Kind); ok && k.Folds {
			c.say(diag.Caution, "day.hot-cloth", path+".modifier",
				"only modifiers made for heat (common practice, no source)",
				"a modifier made for heat, or a head that stays cool", "%s: %s is cloth round a hot lamp", name, m.Name)
		}
	}
	at, ok := place(l.At, l.Height)
	if !ok {
		return
	}
	for j := range s.Panels {
		p := &s.Panels[j]
		there, ok := place(p.At, p.Height)
		if !ok {
			continue
		}
		// To the panel's rim at the nearest: whichever way it is turned, no nearer than this.
		d := max(0, dist(at, there)-math.Hypot(float64(p.Size[0]), float64(p.Size[1]))/2)
		if d < clothFrom {
			c.say(diag.Caution, "day.hot-cloth", path+".at", limit, fix, "%s is about %.1f m from the %s: it gets hot",
				name, d, called(p.Name, p.Kind))
		}
	}
	for _, list := range [][]shoot.Object{c.f.Room.Objects, s.Objects} {
		for k := range list {
			o := &list[k]
			if o.Box == nil || !soft(o.Kind) {
				continue
			}
			if d := fromBox(at, o.Box); d < clothFrom {
				c.say(diag.Caution, "day.hot-cloth", path+".at", limit, fix, "%s is %.1f m from %s: it gets hot", name,
					d, called(o.Name, string(o.Kind)))
			}
		}
	}
}

// soft reports whether a kind of furniture is of cloth or foam.
func soft(word kind.ObjectWord) bool {
	switch word {
	case "curtain", "sofa", "towels":
		return true
	}
	return false
}

func place(at []q.Metres, h q.Metres) (p [3]float64, ok bool) {
	if len(at) < 2 {
		return p, false
	}
	return [3]float64{float64(at[0]), float64(at[1]), height(at, h)}, true
}

func dist(a, b [3]float64) float64 {
	return math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2])
}

// fromBox is the distance of a place to a box, metres; 0 inside.
func fromBox(p [3]float64, b *shoot.BoxShape) float64 {
	d := 0.0
	for k := range 3 {
		lo := 0.0
		if k < len(b.At) {
			lo = float64(b.At[k])
		}
		d = math.Hypot(d, max(0, lo-p[k], p[k]-lo-float64(b.Size[k])))
	}
	return d
}

// strobe says what bursts of flash do to people who do not bear them.
func (c *checker) strobe(s *shoot.Setup, path string) {
	if s.Day == nil || s.Day.Burst <= 0 || c.flash(s) == nil {
		return
	}
	n := s.Day.Burst
	if n < strobeLow || n > strobeHigh {
		return
	}
	c.say(diag.Caution, "day.strobe", path+".day.burst",
		fmt.Sprintf("%.0f to %.0f flashes a second can harm photosensitive people; clubs are advised no more "+
			"than %.0f (an epilepsy charity's figures)", strobeLow, strobeHigh, strobeClub),
		"single frames, or ask everybody beforehand, warn before each burst and keep it short",
		"%s: bursts of %g flashes a second", s.Name, n)
}

// bare says where a flash without cloth before it fires close to a face.
func (c *checker) bare(s *shoot.Setup, l *shoot.Light, h *kit.Head, path string) {
	at, ok := place(l.At, l.Height)
	if !ok || s.Sitter == nil || h.Kind != "flash" {
		return
	}
	if m, ok := c.kit.FindModifier(l.Modifier); ok {
		if k, ok := kind.FindModifier(m.Kind); ok && k.Folds {
			return // cloth spreads it
		}
	}
	face := [3]float64{float64(s.Sitter.At[0]), float64(s.Sitter.At[1]), headHeight(c.f, s)}
	if d := dist(at, face); d < bareNear {
		c.say(diag.Caution, "day.flash-near", path+".at", fmt.Sprintf("%.1f m from a face (common practice, no source)",
			bareNear), "never into open eyes: further off, or cloth before it; keep its glass on",
			"%s, %s: a bare flash %.2f m from the sitter's face", s.Name, called(l.Name, l.Role), d)
	}
}

// headHeight is about where a sitter's face is, metres over the floor, on a platform or a step too.
func headHeight(f *shoot.File, s *shoot.Setup) float64 {
	w := s.Sitter
	top, _ := shoot.Footing(float64(w.At[0]), float64(w.At[1]), math.Inf(1), f.Room.Objects, s.Objects)
	if w.Pose == "seated" {
		return top + float64(w.Seat) + 0.47*float64(w.Stature)
	}
	return top + 0.93*float64(w.Stature)
}

// mains says what is to hang on outlets that the shoot does not name.
func (c *checker) mains() {
	setup, watts, n := Unsaid(c.f)
	if n == 0 || watts <= domestic && len(c.f.Room.Circuits) == 0 {
		return // the power sheet has a line for it
	}
	path := ""
	haze := false
	for i := range c.f.Setups {
		if c.f.Setups[i].Name != setup {
			continue
		}
		haze = c.f.Setups[i].Haze != nil
		for j := range c.f.Setups[i].Lights {
			l := &c.f.Setups[i].Lights[j]
			if h, ok := c.kit.FindHead(l.Head); path == "" && ok && h.Feed == "mains" &&
				l.Outlet == "" && !l.Off {
				path = fmt.Sprintf("setups[%d].lights[%d]", i, j)
			}
		}
		if path == "" {
			path = fmt.Sprintf("setups[%d].haze", i)
		}
	}
	what := lightsWord(n)
	if haze {
		what = strings.TrimPrefix(lightsWord(n-1)+" and the hazer", "0 lights and ")
	}
	c.say(diag.Caution, "day.mains", path,
		"2 kW of lighting at most on a domestic point (a published rule); local codes and the fuse decide",
		"find outlet and fuse on the recce; write them under room: circuits: and the light's outlet:",
		"%s: %s on the mains, %.0f W at once, and no outlet is said", setup, what, watts)
}

func lightsWord(n int) string {
	if n == 1 {
		return "1 light"
	}
	return fmt.Sprintf("%d lights", n)
}
