package dmx

import (
	"fmt"
	"math"
	"slices"
)

// Function says what a channel of a head does.
type Function string

// The functions that halfstop drives. Others are Untouched.
const (
	Dimmer    Function = "dimmer"
	Red       Function = "red"
	Green     Function = "green"
	Blue      Function = "blue"
	White     Function = "white"
	WarmWhite Function = "warm white"
	CoolWhite Function = "cool white"
	Amber     Function = "amber"
	CCT       Function = "cct" // correlated colour temperature over the head's range
	Hue       Function = "hue"
	Sat       Function = "saturation"
	Tint      Function = "tint"      // green to magenta; the middle is neutral
	Untouched Function = "untouched" // never written: it keeps its resting value
)

// The functions that are never driven, whatever a file says: they can hurt someone.
var barred = []Function{"strobe", "shutter", "haze", "fog", "smoke", "fan", "pan", "tilt", "reset", "laser"}

// Barred reports whether a function is never driven: strobing, haze and what moves.
func Barred(f Function) bool { return slices.Contains(barred, f) }

// Curve says how a head turns a slot into light.
type Curve string

// The curves. With Square the light goes with the square of the slot, as in many dimmers.
const (
	Linear Curve = "linear"
	Square Curve = "square"
)

// Channel is one channel of a head.
type Channel struct {
	Function Function
	Fine     bool    // 16 bit: a second slot follows with the low octet
	Curve    Curve   // "" is Linear
	Rest     float64 // 0 to 1: the value of a channel that is not driven
}

// slots is how many slots c takes.
func (c Channel) slots() int {
	if c.Fine {
		return 2
	}
	return 1
}

// Patch says where a head listens.
type Patch struct {
	Head     string // for messages
	Universe uint16
	Address  int // of its first slot, 1 to 512
	Channels []Channel
	// Range of its colour temperature, kelvin; both zero where it has none.
	CCTLow, CCTHigh float64
}

// Width is how many slots the head takes.
func (p *Patch) Width() int {
	n := 0
	for _, c := range p.Channels {
		n += c.slots()
	}
	return n
}

// Still tells of each slot of the head whether halfstop never drives it: it has its resting value,
// and is not faded.
func (p *Patch) Still() []bool {
	var out []bool
	for _, c := range p.Channels {
		for range c.slots() {
			out = append(out, Barred(c.Function) || c.Function == Untouched || !driven(c.Function))
		}
	}
	return out
}

// driven reports whether a function is one that halfstop drives.
func driven(f Function) bool {
	return emitter(f) || slices.Contains([]Function{Dimmer, CCT, Hue, Sat, Tint}, f)
}

// Check reports what of p cannot be.
func (p *Patch) Check() error {
	switch {
	case p.Universe < MinUniverse || p.Universe > MaxUniverse:
		return fmt.Errorf("%s: universe %d: E1.31 has %d to %d", p.Head, p.Universe, MinUniverse, MaxUniverse)
	case len(p.Channels) == 0:
		return fmt.Errorf("%s: no channels", p.Head)
	case p.Address < 1 || p.Address+p.Width()-1 > MaxSlots:
		return fmt.Errorf("%s: slots %d to %d: a universe has 1 to %d", p.Head, p.Address,
			p.Address+p.Width()-1, MaxSlots)
	}
	seen := map[Function]bool{}
	for _, c := range p.Channels {
		if !(c.Rest >= 0 && c.Rest <= 1) {
			return fmt.Errorf("%s: the resting value of %s is %g; it is from 0 to 1", p.Head, c.Function, c.Rest)
		}
		if c.Function == Untouched || Barred(c.Function) {
			continue
		}
		if seen[c.Function] {
			return fmt.Errorf("%s: two channels for %s", p.Head, c.Function)
		}
		seen[c.Function] = true
		if c.Curve != "" && c.Curve != Linear && c.Curve != Square {
			return fmt.Errorf("%s: unknown curve %q of %s; there are %s and %s", p.Head, c.Curve, c.Function,
				Linear, Square)
		}
	}
	if seen[CCT] && !(p.CCTLow > 0 && p.CCTHigh > p.CCTLow) {
		return fmt.Errorf("%s: a channel for cct needs its range in kelvin", p.Head)
	}
	return nil
}

// Setting is what a head is to give. Drives are relative outputs of its emitters, 0 to 1, linear
// in light.
type Setting struct {
	Level  float64              // 0 to 1 of its full output
	CCT    float64              // kelvin; 0: not set
	Drives map[Function]float64 // emitters, hue, saturation, tint; nil: not set
}

// Write puts a head's setting into the slots of its universe. Barred and Untouched channels get
// their resting value. A head without a dimmer has its level in its emitters.
//
// It reports what the head cannot do; then slots are unchanged.
func (p *Patch) Write(s Setting, slots *[MaxSlots]byte) error {
	if err := p.Check(); err != nil {
		return err
	}
	if !(s.Level >= 0 && s.Level <= 1) {
		return fmt.Errorf("%s: level %g; it is from 0 to 1", p.Head, s.Level)
	}
	dimmer := slices.ContainsFunc(p.Channels, func(c Channel) bool { return c.Function == Dimmer })
	for f, v := range s.Drives {
		if !slices.ContainsFunc(p.Channels, func(c Channel) bool { return c.Function == f }) {
			return fmt.Errorf("%s has no channel for %s", p.Head, f)
		}
		if Barred(f) {
			return fmt.Errorf("%s: %s is never driven", p.Head, f)
		}
		if !(v >= 0 && v <= 1) {
			return fmt.Errorf("%s: %s at %g; it is from 0 to 1", p.Head, f, v)
		}
	}
	if s.CCT != 0 && !slices.ContainsFunc(p.Channels, func(c Channel) bool { return c.Function == CCT }) {
		return fmt.Errorf("%s has no channel for cct", p.Head)
	}
	out := *slots
	at := p.Address - 1
	for _, c := range p.Channels {
		v := c.Rest
		d, asked := s.Drives[c.Function]
		switch {
		case Barred(c.Function) || c.Function == Untouched:
		case c.Function == Dimmer:
			v = s.Level
		case c.Function == CCT && s.CCT != 0:
			v = min(1, max(0, (s.CCT-p.CCTLow)/(p.CCTHigh-p.CCTLow)))
		case asked:
			v = d
			if !dimmer && emitter(c.Function) {
				v *= s.Level
			}
		case emitter(c.Function) && s.Drives != nil:
			v = 0 // an emitter that a colour does not use is dark
		}
		if c.Curve == Square && !Barred(c.Function) {
			v = math.Sqrt(v)
		}
		if c.Fine {
			n := int(math.Round(v * 65535))
			out[at], out[at+1] = byte(n>>8), byte(n)
		} else {
			out[at] = byte(math.Round(v * 255))
		}
		at += c.slots()
	}
	*slots = out
	return nil
}

func emitter(f Function) bool {
	return slices.Contains([]Function{Red, Green, Blue, White, WarmWhite, CoolWhite, Amber}, f)
}

// Overlap names two heads whose slots overlap in one universe; "" where none do.
func Overlap(patches []Patch) (a, b string) {
	for i := range patches {
		for j := range i {
			p, q := &patches[i], &patches[j]
			if p.Universe == q.Universe && p.Address < q.Address+q.Width() && q.Address < p.Address+p.Width() {
				return q.Head, p.Head
			}
		}
	}
	return "", ""
}
