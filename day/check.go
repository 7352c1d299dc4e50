package day

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"halfstop/diag"
	"halfstop/kit"
	q "halfstop/quantity"
	"halfstop/shoot"
)

// Limits that checks hold to. Whose they are stands beside each; a venue's own beats them all.
const (
	wayWidth    = 0.6  // m left along a way to an exit: about 2 ft in a college's stage rule
	overPerson  = 0.5  // m, horizontally, from a head to a light that hangs (common practice, no source)
	heatNear    = 0.7  // m from a face to a lamp that is hot or always on (common practice, no source)
	stillFrom   = 40.0 // 1/s: slower shutters show a sitter who breathes (common practice, no source)
	bandStops   = 0.1  // swing from frame to frame that shows (common practice, no source)
	burst       = 2.5  // peak of a recycling flash over its mean draw (common practice: 2 to 3)
	circuitPart = 0.8  // of a circuit's rating in use for hours: usual guidance where it applies
)

// checker collects what is found.
type checker struct {
	f    *shoot.File
	kit  *kit.Kit
	pos  func(path string) diag.Pos
	list diag.List
}

// Check says what the kit, the mains, the clock and the people of a shoot cannot do as planned,
// beside what the light's own checks say. Each message has the number, the limit and whose limit
// it is, and what to do. pos finds a setting in the file; nil: no places.
func Check(f *shoot.File, k *kit.Kit, pos func(path string) diag.Pos) diag.List {
	c := &checker{f: f, kit: k, pos: pos}
	for i := range f.Setups {
		s := &f.Setups[i]
		path := fmt.Sprintf("setups[%d]", i)
		for j := range s.Lights {
			l := &s.Lights[j]
			if l.Head == "" || l.Off {
				continue
			}
			p := fmt.Sprintf("%s.lights[%d]", path, j)
			c.support(s, l, p)
			c.near(s, l, p)
			c.pace(s, l, p)
			c.door(s, l, p)
			c.hot(s, l, p)
			if h, ok := c.kit.FindHead(l.Head); ok {
				c.bare(s, l, &h, p)
			}
		}
		c.strobe(s, path)
		c.ways(s, path)
		c.shutter(s, path)
		c.motion(s, path)
		c.haze(s, path)
	}
	c.circuits()
	c.mains()
	return c.list
}

func (c *checker) say(sev diag.Severity, code, path, limit, fix, format string, args ...any) {
	m := diag.Message{Severity: sev, Code: code, Text: fmt.Sprintf(format, args...), Fix: fix}
	if limit != "" {
		m.Remarks = []diag.Remark{{Text: limit}}
	}
	if c.pos != nil {
		m.Pos = c.pos(path)
	}
	c.list = append(c.list, m)
}

func (c *checker) carried(l *shoot.Light) float64 {
	p := &packer{f: c.f, kit: c.kit}
	return p.carried(l)
}

// support holds a light against its stand: rated load, height, and the moment that would tip it.
func (c *checker) support(s *shoot.Setup, l *shoot.Light, path string) {
	st, ok := c.kit.FindStand(l.Stand)
	if !ok || st.Kind == "clamp" {
		return
	}
	name := s.Name + ", " + called(l.Name, l.Role)
	load, high := c.carried(l), over(c.f, s, l)
	if st.Load > 0 && load > float64(st.Load) {
		c.say(diag.Finding, "day.stand-load", path+".stand",
			fmt.Sprintf("%s is rated for %.1f kg: its figure in the kit", st.Name, float64(st.Load)),
			"take a heavier stand or a lighter modifier",
			"%s weighs %.1f kg with what is on it, more than its stand carries", name, load)
	}
	if st.Highest > 0 && high > float64(st.Highest)+0.05 {
		c.say(diag.Finding, "day.stand-height", path+".stand",
			fmt.Sprintf("%s reaches %.2f m: its figure in the kit", st.Name, float64(st.Highest)),
			"lower it, or take a taller stand",
			"%s is planned %.2f m over what its stand stands on, higher than the stand goes", name, high)
	}
	n, bag := Bags(st, load, (&packer{f: c.f, kit: c.kit}).overhang(l))
	if n > 3 {
		c.say(diag.Finding, "day.tip", path+".stand",
			fmt.Sprintf("twice the moment that tips it (common practice, no source), with bags of %s", bag),
			"bring it in, lower it, or take a heavier base",
			"%s needs %d bags to stand: its load hangs too far out for this base", name, n)
	}
	if st.Kind == "boom" {
		c.say(diag.Caution, "day.boom", path+".stand", "common practice, no source",
			"counterweight before the load; two people to fly it; "+
				"nobody under it while it moves; second fixing above people",
			"%s flies on %s with %.1f kg on the arm", name, st.Name, load)
	}
}

// near says what hangs over or burns beside the sitter.
func (c *checker) near(s *shoot.Setup, l *shoot.Light, path string) {
	if s.Sitter == nil || len(l.At) < 2 {
		return
	}
	name := s.Name + ", " + called(l.Name, l.Role)
	dx, dy := float64(l.At[0]-s.Sitter.At[0]), float64(l.At[1]-s.Sitter.At[1])
	flat := math.Hypot(dx, dy)
	head := headHeight(c.f, s)
	high := height(l.At, l.Height)
	if high > head && flat < overPerson {
		c.say(diag.Caution, "day.over-person", path+".at", "common practice, no source",
			"second fixing, bag on the leg under the load, "+
				"test by a gentle push with nobody under it; in doubt lower it",
			"%s hangs over the sitter: %.2f m beside the head's axis, %.2f m up", name, flat, high)
	}
	h, ok := c.kit.FindHead(l.Head)
	if d := math.Hypot(flat, high-head); ok && (h.Hot || h.Kind == "continuous" && h.Watts >= 150) && d < heatNear {
		c.say(diag.Caution, "day.heat-near", path+".at",
			fmt.Sprintf("%.1f m from a face (common practice, no source)", heatNear),
			"further off with more power, or in short spells; ask how it feels",
			"%s is %.2f m from the sitter's face and stays on", name, d)
	}
}

// pace holds flash against the pictures it has to make: time to recharge, charges, room at the top.
func (c *checker) pace(s *shoot.Setup, l *shoot.Light, path string) {
	h, ok := c.kit.FindHead(l.Head)
	if !ok {
		return
	}
	name := s.Name + ", " + called(l.Name, l.Role)
	if h.Kind != "flash" {
		minutes := DurationOf(s).Likely + setMinutes
		need := minutes * share(l.Level) * batterySafe
		if h.RunTime > 0 && l.Outlet == "" && h.Feed != "mains" && need > float64(h.RunTime) {
			c.say(diag.Finding, "day.battery", path+".level",
				fmt.Sprintf("%.0f min a charge at full, with a third to spare: the kit's figure", float64(h.RunTime)),
				"a second battery at hand, an outlet, or off between takes",
				"%s burns %.0f min at %s, which is %.0f min at full", name, minutes, setting(l), minutes*share(l.Level))
		}
		return
	}
	full := share2(l)
	frames := c.f.Day.Frames
	if s.Day != nil && s.Day.Frames > 0 {
		frames = s.Day.Frames
	}
	if frames > 0 && h.Recycle > 0 {
		// Time to ready goes with the energy spent.
		ready := float64(h.Recycle) * full
		every := DurationOf(s).Likely * 60 / float64(frames)
		if s.Day != nil && s.Day.Burst > 0 && ready > 1/s.Day.Burst {
			c.say(diag.Finding, "day.recycle", path+".power", fmt.Sprintf("%g frames a second: the setup's burst",
				s.Day.Burst), "less power, or shorter bursts: what is not ready fires weak or not at all",
				"%s takes %.2f s to be ready, a burst asks for a flash every %.2f s", name, ready, 1/s.Day.Burst)
		} else if ready > every {
			c.say(diag.Finding, "day.recycle", path+".power",
				fmt.Sprintf("%d frames in %.0f min: what the shoot says", frames, DurationOf(s).Likely),
				"raise the sensitivity a stop and halve the power, bring it nearer, or share it between two heads",
				"%s takes %.1f s to be ready, a frame is planned every %.1f s", name, ready, every)
		}
	}
	if h.Pops > 0 && l.Outlet == "" {
		if need := float64(frames+testFrames) * full * batterySafe; need > float64(h.Pops) {
			c.say(diag.Finding, "day.battery", path+".power",
				fmt.Sprintf("%d full flashes a charge, with a third to spare: the kit's figure", h.Pops),
				"a second battery at hand, or less power",
				"%s spends %.0f full flashes on %d frames and %d tests", name, need/batterySafe, frames, testFrames)
		}
	}
	if p, err := q.ParsePower(l.Power); err == nil && l.Power != "" && float64(p) > -0.3 && s.Sitter != nil {
		c.say(diag.Note, "day.headroom", path+".power", "a third of a stop in hand (common practice, no source)",
			"bring it nearer or raise the sensitivity",
			"%s is at %s: there is nothing left to go up", name, l.Power)
	}
}

// door says what does not pass the doors as it is built.
func (c *checker) door(s *shoot.Setup, l *shoot.Light, path string) {
	m, ok := c.kit.FindModifier(l.Modifier)
	if !ok || m.Face == nil || len(m.Face.Size) == 0 || len(c.f.Room.Doors) == 0 {
		return
	}
	narrow := math.Inf(1)
	for i := range c.f.Room.Doors {
		narrow = min(narrow, float64(c.f.Room.Doors[i].Width))
	}
	// It may be turned on its side: its smaller measure counts.
	if w := float64(slices.Min(m.Face.Size)); w > narrow {
		c.say(diag.Note, "day.door", path+".modifier", fmt.Sprintf("the narrowest door is %.2f m: the shoot's",
			narrow), "build it inside",
			"%s, %s: %s is %.2f m across and does not pass the door as built", s.Name, called(l.Name,
				l.Role), m.Name, w)
	}
}

// ways measures the way from the sitter to each exit between what stands there, and says where
// cables cross it.
func (c *checker) ways(s *shoot.Setup, path string) {
	if s.Sitter == nil || len(c.f.Room.Exits) == 0 {
		return
	}
	g, ok := newFloor(c.f, s)
	if !ok {
		return
	}
	plain := slices.Clone(g.shut)
	for j := range s.Lights {
		l := &s.Lights[j]
		if len(l.At) < 2 || l.Head == "" {
			continue
		}
		r := 0.45
		if st, ok := c.kit.FindStand(l.Stand); ok && st.Footprint > 0 {
			r = float64(st.Footprint) / 2
		}
		g.block(float64(l.At[0])-r, float64(l.At[1])-r, 2*r, 2*r)
	}
	p := &packer{f: c.f, kit: c.kit}
	h := &floor{x0: g.x0, y0: g.y0, w: g.w, h: g.h, shut: plain}
	for k, x := range c.f.Room.Exits {
		wide, ok := g.width(float64(s.Sitter.At[0]), float64(s.Sitter.At[1]), float64(x[0]), float64(x[1]))
		if free, was := h.width(float64(s.Sitter.At[0]), float64(s.Sitter.At[1]), float64(x[0]),
			float64(x[1])); !was || free < wayWidth {
			continue // the room itself is narrow there, or the exit lies behind something: not the plan's doing
		}
		if !ok || wide < wayWidth {
			c.say(diag.Finding, "day.way", fmt.Sprintf("room.exits[%d]", k),
				fmt.Sprintf("%.0f cm, about 2 ft: a college's stage rule; your venue's fire plan beats it",
					wayWidth*100), "move a stand; keep exits, signs and call points clear and unlocked",
				"%s: the way from the sitter to exit %d is narrowed to %.0f cm", s.Name, k+1, wide*100)
		}
		_, way, found := h.path(float64(s.Sitter.At[0]), float64(s.Sitter.At[1]), float64(x[0]), float64(x[1]))
		if !found {
			continue
		}
		for j := range s.Lights {
			l := &s.Lights[j]
			if l.Outlet == "" {
				continue
			}
			if r, ok := p.cable(h, s, l); ok && cross(r.Path, way) {
				c.say(diag.Caution, "day.cable-way", fmt.Sprintf("%s.lights[%d].outlet", path, j),
					"common practice, no source",
					"cross at a right angle, tape or ramp the whole width, "+
						"tell everyone; where tape is forbidden use mats",
					"%s: the cable of %s crosses the way to exit %d", s.Name, called(l.Name, l.Role), k+1)
			}
		}
	}
}

// shutter says what the exposure time does to a sitter and to lamps on the mains.
func (c *checker) shutter(s *shoot.Setup, path string) {
	cam := s.Camera
	if cam == nil || cam.Shutter <= 0 {
		return
	}
	t := float64(cam.Shutter)
	if s.Sitter != nil && 1/t < stillFrom-0.5 {
		c.say(diag.Note, "day.still", path+".camera.shutter",
			fmt.Sprintf("1/%.0f s for a sitter who breathes (common practice, no source)", stillFrom),
			"a rest for the sitter and the camera, or flash on the face with the room two stops under",
			"%s: at %s whoever moves a centimetre a second is smeared by %.1f mm", s.Name, cam.Shutter, 10*t)
	}
	for i := range c.f.Room.Practicals {
		p := &c.f.Room.Practicals[i]
		if p.Off || slices.ContainsFunc(s.Off, func(n string) bool { return strings.EqualFold(n, p.Name) }) {
			continue
		}
		mains, sev, whose := float64(p.Mains), diag.Finding, ""
		if mains <= 0 {
			if mains = c.grid(); mains <= 0 || modulation(p.Kind) < bandStops {
				continue
			}
			sev, whose = diag.Caution, ", if it hangs on the mains here"
		}
		swing := Banding(2*mains, t, modulation(p.Kind))
		if swing > bandStops {
			n := math.Max(1, math.Round(t*2*mains))
			c.say(sev, "day.flicker", path+".camera.shutter",
				fmt.Sprintf("%.1f st from frame to frame (common practice, no source)", bandStops),
				fmt.Sprintf("take 1/%.0f s, switch it off, or let it weigh less", 2*mains/n),
				"%s: %s pulses at %.0f Hz%s; at %s frames differ by up to %.1f st of its light", s.Name, p.Name,
				2*mains, whose, cam.Shutter, swing)
		}
	}
}

// grid is the frequency of the mains where the shoot is, told by the volts of its circuits: 50 Hz
// from 200 V up, 60 Hz under it; 0: no circuit says. Where one country has both the recce tells
// (common practice, no source).
func (c *checker) grid() float64 {
	for i := range c.f.Room.Circuits {
		switch v := float64(c.f.Room.Circuits[i].Volts); {
		case v >= 200:
			return 50
		case v > 0:
			return 60
		}
	}
	return 0
}

// modulation is how deep a lamp's light pulses on the mains, 0 to 1: common practice, no source.
func modulation(kind string) float64 {
	k := strings.ToLower(kind)
	switch {
	case strings.Contains(k, "bulb"), strings.Contains(k, "tungsten"), strings.Contains(k,
		"filament"), strings.Contains(k, "halogen"):
		return 0.1
	case strings.Contains(k, "fluorescent"):
		return 0.35
	}
	return 1 // neon, LED signs and what is not known: as bad as it can be
}

// Banding gives by how many stops frames differ, brightest to darkest, under a light that pulses
// as a sine of frequency hz and the given depth, at a shutter time t in seconds.
//
// The ripple left is depth times |sinc(hz t)|: the mean of a sine over the shutter time.
func Banding(hz, t, depth float64) float64 {
	x := math.Pi * hz * t
	ripple := depth
	if x > 0 {
		ripple = depth * math.Abs(math.Sin(x)/x)
	}
	return math.Log2((1 + ripple) / math.Max(1e-9, 1-ripple))
}

func (c *checker) haze(s *shoot.Setup, path string) {
	if s.Haze != nil && len(c.f.Room.Detectors) > 0 {
		c.say(diag.Finding, "day.haze-detectors", path+".haze",
			"smoke heads alarm in haze; heat heads are the kind that do not: the venue knows which these are",
			"agree isolation in writing with the venue and its alarm contact, "+
				"with a watch and a reset time; or do without haze",
			"%s: haze, and the place has smoke heads or sprinklers (%d marked)", s.Name, len(c.f.Room.Detectors))
	}
}

// circuits adds up what hangs on each, with what is on it already.
func (c *checker) circuits() {
	peaks := CircuitPeaks(c.f)
	loads := CircuitLoads(c.f)
	for i, p := range peaks {
		path := fmt.Sprintf("room.circuits[%d]", i)
		if p.Most <= 0 && p.Watts > 0 {
			c.say(diag.Caution, "day.circuit", path, "its volts and amperes are not said",
				"read its fuse on the recce and write volts: and amps:; ask the venue's electrician",
				"%s carries %.0f W in %s, and nobody knows what it bears", p.Circuit, p.Watts, p.Setup)
		}
		if p.Most > 0 && p.Watts > circuitPart*p.Most {
			sev, limit := diag.Caution, fmt.Sprintf("80 %% of %.0f W, usual guidance for hours of use; "+
				"local codes decide", p.Most)
			if p.Watts > p.Most {
				sev, limit = diag.Finding, fmt.Sprintf("%.0f W: its fuse", p.Most)
			}
			c.say(sev, "day.circuit", path, limit,
				"share it out, or run some on batteries; ask the venue's electrician; do not change fuses",
				"%s carries %.0f W in %s, recycling flash in short peaks more", p.Circuit, p.Watts, p.Setup)
		}
		bursts := map[string]int{}
		for _, l := range loads {
			if strings.EqualFold(l.Circuit, p.Circuit) && l.Note != "" && l.Watts > 0 {
				bursts[l.Setup]++
			}
		}
		for _, setup := range sortedKeys(bursts) {
			watts := 0.0
			for _, l := range loads {
				if l.Setup == setup && strings.EqualFold(l.Circuit, p.Circuit) && l.Note != "" {
					watts += l.Watts
				}
			}
			if bursts[setup] > 2 {
				c.say(diag.Caution, "day.inrush", path,
					"packs that recycle together trip what runs happily alone (a teacher's account)",
					"slow recycling, or fewer on one circuit",
					"%s: %d flash heads recycle together on %s, in peaks of about %.0f W (2.5 times their mean, "+
						"common "+
						"practice)", setup, bursts[setup], p.Circuit, burst*watts)
			}
		}
	}
}
