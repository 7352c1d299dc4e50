package figure

import (
	"math"
	"testing"

	"halfstop/quantity"
)

// However hips and hands are carried, a standing sitter's head is where it was: no reading on it
// depends on a gesture. Arms keep their length, feet keep to the floor, and no hand is in the
// other.
func TestCarriage(t *testing.T) {
	var eyes vec
	for pose := Standing; pose <= Floor; pose++ {
		for g := AsPosed; g <= RoundKnee; g++ {
			p := Woman()
			p.Detail, p.Pose, p.Hands, p.Rest, p.Clothes = Shadow, pose, g, 0.95, TShirt
			if pose == Stool {
				p.Seat = 0.75
			}
			p = p.worn()
			b := newBody(newHead(p))
			h := b.h
			turn := b.turning()
			e := b.chest.ap(turn.whole.about(h.eyeL, turn.pivot))
			if pose == Standing {
				if g == AsPosed {
					eyes = e
				}
				if e.sub(eyes).len() > 1e-6 || e.sub(h.eyeL).len() > 1e-6 {
					t.Errorf("gesture %d: the eye moves to %v from %v", g, e, h.eyeL)
				}
			}
			S := b.S
			for i := range b.el {
				up, fo := b.el[i].sub(b.sh[i]).len(), b.wr[i].sub(b.el[i]).len()
				if math.Abs(up-upperArmShare*S) > 1 || math.Abs(fo-forearmShare*S) > 1 {
					t.Errorf("pose %d gesture %d: arm of %.0f and %.0f mm, want %.0f and %.0f", pose, g, up, fo,
						upperArmShare*S,
						forearmShare*S)
				}
				thigh, shank := b.kn[i].sub(b.hip[i]).len(), b.an[i].sub(b.kn[i]).len()
				// a straight leg may be drawn a little
				if math.Abs(thigh-b.thigh) > 1 || math.Abs(shank-b.shank) > 15 {
					t.Errorf("pose %d: leg of %.0f and %.0f mm, want %.0f and %.0f", pose, thigh, shank, b.thigh,
						b.shank)
				}
				if hand := b.chest.ap(b.wr[i].add(b.hold[i].along.unit().mul(80))); hand.Y < b.ground-5 {
					t.Errorf("pose %d gesture %d: a hand %.0f mm under the floor", pose, g, b.ground-hand.Y)
				}
				if foot := b.an[i].Y - b.ground; foot < 0.3*ankleShare*S {
					t.Errorf("pose %d: ankle %.0f mm over the floor", pose, foot)
				}
			}
			// palms at least a hand's thickness apart
			c := [2]vec{}
			for i := range c {
				c[i] = b.wr[i].add(b.hold[i].along.unit().mul(60))
			}
			if d := c[0].sub(c[1]).len(); d < 25 {
				t.Errorf("pose %d gesture %d: the palms are %.0f mm apart", pose, g, d)
			}
		}
	}
}

// Children are as tall as their age and have a larger head for it: in stature 5.6 to 6.2 heads at
// six, 6.8 to 7.6 at fifteen (drawing-school rule, from memory).
func TestAges(t *testing.T) {
	for _, c := range []struct{ years, lo, hi float64 }{{6, 5.4, 6.3}, {15, 6.7, 7.8}} {
		for _, p := range []Params{Man(), Woman()} {
			p.Years, p.Stature = c.years, StatureAt(c.years, p.Brow > 0.3)
			p.Detail, p.Hair, p.Clothes = Shadow, NoHair, TShirt
			m := Build(p)
			l := m.Landmarks
			head := l["crown"].At.Z - l["menton"].At.Z
			if n := m.Bounds().Hi.Z / head; n < c.lo || n > c.hi {
				t.Errorf("at %.0f years %.1f heads tall", c.years, n)
			}
			if top := m.Bounds().Hi.Z; math.Abs(top-float64(p.Stature)) > 0.01 {
				t.Errorf("at %.0f years %.3f m tall, asked %.3f", c.years, top, float64(p.Stature))
			}
			if low := m.Bounds().Lo.Z; math.Abs(low) > 0.01 {
				t.Errorf("at %.0f years the lowest point at %.3f m", c.years, low)
			}
		}
	}
	if StatureAt(30, true) != 0 || StatureAt(0, true) != 0 || StatureAt(6, true) != quantity.Metres(1.155) {
		t.Error("statures of grown people, or of six years")
	}
}
