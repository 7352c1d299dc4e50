package stage

import (
	"fmt"

	"halfstop/diag"
	"halfstop/geom"
)

// inFrame is how far something reaches into the part of the frame that will be used.
type inFrame struct {
	edge string  // the edge that it comes in over
	deep float64 // share of the frame from that edge
}

func (f inFrame) words() string {
	return fmt.Sprintf("it comes in over the %s edge, %.0f %% of the frame deep", f.edge, max(1, f.deep*100))
}

// seen looks at places on the outside of a thing and gives how far those that the camera sees reach
// into the frame; ok is false where it sees none. What hides them (furniture, the sitter, a wall)
// counts. It needs the scene prepared.
func (s *Stage) seen(places []geom.Vec) (f inFrame, ok bool) {
	crop := [4]float64{0, 0, 1, 1}
	if k := s.Setup.Camera.Crop; k != nil {
		crop = *k
	}
	deepest := map[string]float64{}
	for _, p := range places {
		x, y, _, in := s.View.Project(p)
		if !in || !s.inCrop(x, y) {
			continue
		}
		// A little before the place, so that its own surface does not hide it.
		if !s.Scene.Unoccluded(s.View.At, p.AddMul(s.View.At.Sub(p).Unit(), 0.02)) {
			continue
		}
		ok = true
		w, h := crop[2]-crop[0], crop[3]-crop[1]
		for edge, d := range map[string]float64{"left": (x - crop[0]) / w, "right": (crop[2] - x) / w,
			"upper": (y - crop[1]) / h, "lower": (crop[3] - y) / h} {
			deepest[edge] = max(deepest[edge], d)
		}
	}
	if !ok {
		return f, false
	}
	f.deep = 2
	for _, edge := range []string{"left", "right", "upper", "lower"} {
		if d := deepest[edge]; d < f.deep {
			f = inFrame{edge, d}
		}
	}
	return f, true
}

// faceGrid is a grid of places on a flat face of this size, its rim included.
func faceGrid(at geom.Vec, f geom.Frame, w, h float64, round bool) (out []geom.Vec) {
	const n = 6
	for i := range n + 1 {
		for j := range n + 1 {
			x, y := 2*float64(i)/n-1, 2*float64(j)/n-1
			if round { // rings instead of rows
				sn, cs := unitAngle(float64(i) / (n + 1))
				r := float64(j) / n
				x, y = r*cs, r*sn
			}
			out = append(out, at.Add(f.Out(x*w/2, y*h/2, 0)))
		}
	}
	return out
}

// outside gives places all over the outside of a light's body.
func (b *Body) outside() []geom.Vec {
	h := b.Height
	if b.Shape == "disc" || b.Shape == "sphere" {
		h = b.Width
	}
	if b.Shape == "sphere" {
		var out []geom.Vec
		for _, f := range []geom.Frame{b.Frame, {S: b.Frame.T, T: b.Frame.N, N: b.Frame.S}, {S: b.Frame.N,
			T: b.Frame.S, N: b.Frame.T}} {
			out = append(out, faceGrid(b.At, f, b.Width, h, true)...)
		}
		return out
	}
	w := b.Width
	if b.Shape == "point" {
		w, h = 0.12, 0.12
	}
	out := faceGrid(b.At, b.Frame, w, h, b.Shape == "disc")
	for k := range 4 { // from the face back to the head
		out = append(out, b.At.Add(b.Frame.Out(0, 0, -b.Depth*float64(k+1)/4)))
	}
	return out
}

// checkFrame finds lights, stands and panels of which the camera sees any part.
func (s *Stage) checkFrame() {
	if s.View == nil || s.Sitter == nil {
		return
	}
	for _, l := range s.Layers {
		if l.Light < 0 || s.Setup.Lights[l.Light].Emitter != nil {
			continue
		}
		for i := range l.Bodies {
			if f, ok := s.seen(l.Bodies[i].outside()); ok {
				s.problem(diag.Finding, "stage.in-frame", l.Path+".at", "move it out of the frame, or crop",
					"%s is in the frame: %s", l.Name, f.words())
				continue
			}
			s.checkStandInFrame(l.Name, l.Path, l.Standing)
		}
	}
	for i := range s.Panels {
		p := &s.Panels[i]
		if f, ok := s.seen(faceGrid(p.At, p.Frame, float64(p.Panel.Size[0]), float64(p.Panel.Size[1]), false)); ok {
			s.problem(diag.Finding, "stage.in-frame", p.Path+".at", "move it out of the frame",
				"the %s is in the frame: %s", p.Name, f.words())
		}
	}
}

// checkStandInFrame looks at column, legs and arm.
func (s *Stage) checkStandInFrame(name, path string, t *Standing) {
	if t == nil {
		return
	}
	for z := 0.05; z < t.High(); z += 0.1 {
		if _, ok := s.seen([]geom.Vec{t.Foot.Add(geom.V(0, 0, z))}); ok {
			s.problem(diag.Finding, "stage.stand-in-frame", path+".at",
				"move it, boom it, or plan a plate to remove it",
				"the stand of %s is in the frame at %.1f m height", name, t.Foot.Z+z)
			return
		}
	}
	var legs, arm []geom.Vec
	for _, tip := range t.Tips() {
		legs = append(legs, tip, tip.Lerp(t.Foot, 0.5))
	}
	for k := range 8 {
		arm = append(arm, t.Pivot.Lerp(t.Head, float64(k)/8))
	}
	if _, ok := s.seen(legs); ok {
		s.problem(diag.Finding, "stage.stand-in-frame", path+".at", "turn or move it, or plan a plate to remove it",
			"a leg of the stand of %s is in the frame", name)
	} else if _, ok := s.seen(arm); ok && t.Head.Sub(t.Pivot).Len() > 0.3 {
		s.problem(diag.Finding, "stage.stand-in-frame", path+".at", "bring the arm in from another side",
			"the arm that holds %s is in the frame", name)
	}
}
