package stage

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"halfstop/diag"
	"halfstop/geom"
	"halfstop/kind"
	"halfstop/kit"
)

func unitAngle(turns float64) (sin, cos float64) { return math.Sincos(2 * math.Pi * turns) }

// High is how far the top of the column is over the feet, metres.
func (t *Standing) High() float64 { return t.Pivot.Z - t.Foot.Z }

// Tips are the ends of a stand's three legs on what it stands on; none for a plate.
func (t *Standing) Tips() []geom.Vec {
	if k, _ := kind.FindStand(t.Kind); k.Plate {
		return nil
	}
	return t.tipsAt(t.Turn)
}

func (t *Standing) tipsAt(turn float64) (out []geom.Vec) {
	for k := range 3 {
		sn, cs := math.Sincos(turn + float64(k)*2*math.Pi/3)
		out = append(out, geom.V(t.Foot.X+t.Footprint/2*cs, t.Foot.Y+t.Footprint/2*sn, t.Foot.Z+0.012))
	}
	return out
}

// unevenFeet is by how much the feet of a stand may stand at different heights, metres: common
// practice, no source (a plate or a wedge under one leg).
const unevenFeet = 0.02

// footRoom is how far a foot keeps off a sitter's feet, metres.
const footRoom = 0.2

// blocked names what a place near the floor is in: a wall, a thing, the sitter's feet; "" for none.
func (s *Stage) blocked(p geom.Vec) string {
	corners, _ := Outline(&s.Shoot.Room)
	if len(corners) >= 3 && !insideOrOn(corners, p) {
		return "a wall"
	}
	for _, o := range s.solids {
		if o.box.Contains(p) && o.in(p) {
			return o.name
		}
	}
	if w := s.Setup.Sitter; w != nil && math.Hypot(p.X-float64(w.At[0]), p.Y-float64(w.At[1])) < footRoom {
		return "the sitter's feet"
	}
	return ""
}

// plainPanel is what a panel weighs that is of no kind in the kit, kg: common practice, no source.
const plainPanel = 2.0

// checkStands finds stands that cannot stand: a column in furniture or a wall, feet that find no
// free turn, the swing of a door, an arm through a head, more weight or height than the stand is
// for. Planning hints: the plate on the stand decides.
func (s *Stage) checkStands() {
	for i := range s.Layers {
		l := &s.Layers[i]
		if l.Light < 0 {
			continue
		}
		w := &s.Setup.Lights[l.Light]
		weight := 0.0
		if l.Source != nil {
			weight = float64(l.Source.Weight)
		}
		if t := l.Standing; t != nil {
			s.placeStand("the stand of "+l.Name, l.Path, t)
		}
		s.checkLoad(l.Name, l.Path, w.Stand, weight, l.Standing)
		if len(l.Bodies) > 0 {
			s.checkWedged(l.Name, l.Path, w.Stand, l.Bodies[0].At)
		}
	}
	for i := range s.Panels {
		p := &s.Panels[i]
		if spec, _ := s.kit.FindPanel(p.Panel.Kind); p.Panel.Stand != "" {
			s.checkLoad("the "+p.Name, p.Path, p.Panel.Stand, cmp.Or(float64(spec.Weight), plainPanel),
				&Standing{Foot: geom.V(p.At.X, p.At.Y, s.footing(p.At, p.At.Z)), Head: p.At, Pivot: p.At})
			s.checkWedged("the "+p.Name, p.Path, p.Panel.Stand, p.At)
		}
	}
}

// placeStand looks for room for a stand's column, feet and arm, and turns its legs to where they
// find it.
func (s *Stage) placeStand(what, path string, t *Standing) {
	for z := 0.05; z < t.High(); z += 0.15 {
		if in := s.blocked(t.Foot.Add(geom.V(0, 0, z))); in != "" && (z < 0.3 || in != "the sitter's feet") {
			s.problem(diag.Finding, "stage.stand-in-object", path+".at",
				"move it, or reach over with a boom: stand: boom stand",
				"%s would stand in %s, %.1f m up", what, in, z)
			return
		}
	}
	if t.Blocked != "" {
		s.problem(diag.Finding, "stage.stand-feet", path+".at",
			fmt.Sprintf("spread, its legs need a circle of %.1f m: move it, or take a smaller stand, a clamp or a boom",
				t.Footprint),
			"the legs of %s cannot be spread: %s is in the way", what, t.Blocked)
	}
	for k := range s.Shoot.Room.Doors {
		d := &s.Shoot.Room.Doors[k]
		corners, _ := Outline(&s.Shoot.Room)
		a, dir, _, in, ok := Wall(corners, d.Wall)
		if !ok || equal(d.Swing, "out") {
			continue
		}
		w := float64(d.Width)
		hinge := a.AddMul(dir, float64(d.From))
		along := dir
		if equal(d.Hinge, "end") {
			hinge, along = a.AddMul(dir, float64(d.From)+w), dir.Neg()
		}
		for _, p := range append(t.Tips(), t.Foot) {
			v := p.Sub(hinge)
			if x, y := v.Dot(along), v.Dot(in); x > -0.02 && y > 0 && math.Hypot(x, y) < w {
				s.problem(diag.Finding, "stage.stand-in-door", path+".at",
					"move it out of the door's way, or keep the door open and watched; ways out stay free",
					"%s stands in the swing of %s", what, orWord(d.Name, fmt.Sprintf("the door in wall %d", d.Wall)))
				break
			}
		}
	}
	if s.Sitter == nil || t.Head.Sub(t.Pivot).Len() < 0.3 {
		return
	}
	b := s.Sitter.Bounds()
	for k := range 17 {
		p := t.Pivot.Lerp(t.Head, float64(k)/16)
		over := p.X > b.Lo.X && p.X < b.Hi.X && p.Y > b.Lo.Y && p.Y < b.Hi.Y
		switch {
		case over && p.Z < b.Hi.Z+0.02:
			s.problem(diag.Finding, "stage.arm-in-sitter", path+".at",
				"raise it, or bring the arm in from another side", "the arm of %s goes through the sitter",
				strings.TrimPrefix(what, "the stand of "))
			return
		case over:
			s.problem(diag.Caution, "caution.over-person", path+".at",
				"second fixing, bag on the base, longest leg under the load; nobody under it while it is set",
				"the arm that holds %s passes %.0f cm over the sitter's head", strings.TrimPrefix(what,
					"the stand of "), (p.Z-b.Hi.Z)*100)
			return
		}
	}
}

// turnFeet turns a stand's legs to where all three find floor, as near as may be to one leg under
// the light, and names what is in the way where no turn does.
func (s *Stage) turnFeet(t *Standing) (worst string) {
	if t.Tips() == nil {
		return ""
	}
	const steps = 24
	for k := range steps {
		turn := t.Turn + float64((k+1)/2)*(1-2*float64(k%2))*2*math.Pi/3/steps
		in := ""
		for _, tip := range t.tipsAt(turn) {
			if math.Abs(s.footing(tip, t.Head.Z)-t.Foot.Z) > unevenFeet {
				in = "an edge or a step"
			}
			for _, p := range []geom.Vec{tip, tip.Lerp(t.Foot, 0.5).Add(geom.V(0, 0, 0.1))} {
				if in == "" {
					in = s.blocked(p)
				}
			}
		}
		if in == "" {
			t.Turn = turn
			return ""
		}
		if k == 0 {
			worst = in
		}
	}
	return worst
}

// checkLoad holds a stand to what it carries. A boom's load is meant at its full reach: nearer it
// carries more in proportion, and its counterweight must answer.
func (s *Stage) checkLoad(name, path, stand string, weight float64, t *Standing) {
	spec, ok := s.kit.FindStand(orWord(stand, "light stand 300"))
	if !ok || spec.Load <= 0 || weight <= 0 || stand == "" && t == nil {
		return
	}
	at := path + ".stand"
	if stand == "" {
		at = path + ".at"
	}
	height := 0.0
	if t != nil {
		height = t.High()
	}
	heavier := s.standFor(weight, height)
	k, _ := kind.FindStand(spec.Kind)
	if k.Arm && spec.Reach > 0 && t != nil {
		reach := math.Hypot(t.Head.X-t.Pivot.X, t.Head.Y-t.Pivot.Y)
		if most := float64(spec.Load) * float64(spec.Reach); weight*reach > most*1.001 {
			s.problem(diag.Finding, "stage.load", at,
				"take less on the arm, bring it nearer the column, or a stronger boom; the plate on the stand decides",
				"%s weighs %.1f kg at %.1f m of the arm, %.0f N·m; %s is for %.0f N·m", name, weight, reach,
				weight*reach*9.81, orWord(stand, spec.Name), most*9.81)
		}
		return
	}
	if weight > float64(spec.Load) {
		s.problem(diag.Finding, "stage.load", at, heavier+"; the plate on the stand decides",
			"%s weighs %.1f kg with what is on it; %s carries %s", name, weight, orWord(stand, spec.Name), spec.Load)
	}
	raised := ""
	if t != nil && t.Foot.Z > 0 {
		raised = fmt.Sprintf(", %.2f m over what its stand stands on", height)
	}
	if t != nil && spec.Highest > 0 && height > float64(spec.Highest)+0.05 {
		fix := "take a taller stand, or lower it"
		if stand == "" {
			fix = "write the stand that holds it; stand: clamp where it hangs from something"
		}
		s.problem(diag.Finding, "stage.stand-height", at, fix, "%s hangs at %.2f m%s; %s goes to %s", name, t.Pivot.Z,
			raised, orWord(stand, spec.Name), spec.Highest)
	}
	if t != nil && stand != "" && spec.Lowest > 0 && height < float64(spec.Lowest)-0.05 {
		s.problem(diag.Finding, "stage.stand-height", at,
			"take a lower stand, such as the low stand or a floor plate",
			"%s hangs at %.2f m%s; %s goes down to %s only", name, t.Pivot.Z, raised, stand, spec.Lowest)
	}
}

// checkWedged holds a pole, which is what hangs like a clamp and has a length, to the ceiling that
// it is wedged under.
func (s *Stage) checkWedged(name, path, stand string, at geom.Vec) {
	spec, ok := s.kit.FindStand(stand)
	if stand == "" || !ok || spec.Kind != "clamp" || spec.Highest <= 0 {
		return
	}
	ceiling := CeilingAt(&s.Shoot.Room, at.X, at.Y)
	if ceiling == 0 {
		s.problem(diag.Finding, "stage.pole", path+".stand", "take a stand with feet: light stand 300, or a boom",
			"%s hangs on the %s, which is wedged between floor and ceiling: over it is the open sky", name, spec.Name)
		return
	}
	if floor := s.footing(at, at.Z); ceiling-floor > float64(spec.Highest) || ceiling-floor < float64(spec.Lowest) {
		s.problem(diag.Finding, "stage.pole", path+".stand", "take a stand with feet, or another pole",
			"%s hangs on the %s, which goes from %s to %s: floor and ceiling are %.2f m apart there", name, spec.Name,
			spec.Lowest, spec.Highest, ceiling-floor)
	}
}

// standFor says which stand of the kit carries a weight at a height: the lightest that does.
func (s *Stage) standFor(weight, height float64) string {
	var best *kit.Stand
	for i := range s.kit.Stands {
		x := &s.kit.Stands[i]
		k, _ := kind.FindStand(x.Kind)
		if !k.Feet || k.Arm || k.Plate || float64(x.Load) < weight || float64(x.Highest) < height ||
			float64(x.Lowest) > height {
			continue
		}
		if best == nil || x.Weight < best.Weight {
			best = x
		}
	}
	if best == nil {
		return "split the load"
	}
	return "write stand: " + best.Name
}
