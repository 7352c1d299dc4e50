package sheet

import (
	"fmt"
	"math"
	"math/rand"

	"halfstop/geom"
	"halfstop/quantity"
)

// crowded makes a random busy setup, the same for the same seed:
// up to ten lights with contours, panels and furniture.
func crowded(seed int64) Plan {
	r := rand.New(rand.NewSource(seed))
	between := func(a, b float64) float64 { return a + (b-a)*r.Float64() }
	w, d := between(4, 9), between(3, 7)
	p := aisle()
	p.Room = Room{Outline: box(0, 0, w, d), Ceiling: between(2.4, 4), Wall: 0.12}
	p.Objects, p.Panels, p.Lights = nil, nil, nil
	for i := 0; i < 6; i++ {
		x, y := between(0, w-1.5), between(0, d-1)
		p.Objects = append(p.Objects,
			Object{Name: fmt.Sprintf("table %d", i+1), Foot: box(x, y, between(0.3, 1.5), between(0.3, 1)),
				Hi: between(0.4, 1.2)})
	}
	p.Sitters = []Sitter{{At: [2]float64{w * between(0.35, 0.65), d * between(0.35, 0.65)}, Facing: between(-3, 3),
		Pose: []Pose{PoseStanding, PoseSeated, PoseLeaning}[r.Intn(3)]}}
	at := p.Sitters[0].At
	p.Camera = &Camera{At: geom.V(between(0.3, w-0.3), between(0.3, d-0.3), 1.4), Aim: geom.V(at[0], at[1], 1.3),
		HalfWidth: 0.25, HalfHeight: 0.36, Near: 1, Far: 1.6, FootR: 0.35}
	roles := []string{"Key", "Fill", "Edge", "Background left", "Background right", "Hair", "Accent", "Kicker",
		"Practical", "Window bounce"}
	n := 3 + r.Intn(8)
	for i := 0; i < n; i++ {
		x, y := between(0.4, w-0.4), between(0.4, d-0.4)
		b := Body{At: geom.V(x, y, between(0.6, 2.3)), Aim: geom.V(at[0], at[1], 1.6),
			Shape: []Shape{Round, Rectangle, Octagon, Umbrella, Ball, Tube}[r.Intn(6)],
			Width: between(0.1, 1.4), Depth: between(0, 0.5)}
		b.Height = b.Width * between(0.3, 1)
		l := Light{Role: roles[i], Words: "500 Ws head, some modifier", Kind: Kind(r.Intn(3)),
			Colour: [3]float64{between(0.4, 1.4), 1, between(0.3, 1.5)},
			Bodies: []Body{b}, Stand: &Stand{At: [2]float64{x + between(-0.3, 0.3), y + between(-0.3, 0.3)},
				Radius: 0.4}, Dial: "1/4 + 0.3", Feed: "battery"}
		l.Field = glow(b, 1.5, 2, 0, 0, w, d, 1.62, 1)
		p.Lights = append(p.Lights, l)
	}
	for i := r.Intn(4); i >= 0; i-- {
		a := between(0, 6.28)
		p.Panels = append(p.Panels, Panel{Kind: []PanelKind{Silk, Reflector, Flag, Net}[r.Intn(4)],
			At:     geom.V(between(0.5, w-0.5), between(0.5, d-0.5), 1.5),
			Normal: geom.V(math.Cos(a), math.Sin(a), 0), Width: between(0.4, 1.8), Height: 1})
	}
	p.Room.Outlets = []Outlet{{"A", [2]float64{0, d / 2}}, {"B", [2]float64{w, d / 3}}, {"C", [2]float64{w / 2, d}}}
	p.Title.Setup = fmt.Sprintf("Crowd %d", seed)
	return p
}

// odd places: each must give a sheet.
func odd() map[string]Plan {
	out := map[string]Plan{}
	p := aisle()
	p.Room = Room{Outline: [][2]float64{{0, 0}, {7, 0}, {7, 3}, {3.8, 3}, {3.8, 6}, {0, 6}}, Ceiling: 3.1,
		Windows: []Opening{{Wall: 6, From: 1, Width: 2, Sill: 0.9, Head: 2.2}},
		Doors:   []Door{{Wall: 3, From: 0.5, Width: 0.9, Outward: true}}}
	p.Objects = nil
	p.Title.Setup = "L-shaped"
	out["ell"] = p

	p = aisle()
	p.Room = Room{Outline: box(0, 0, 1.5, 20), Ceiling: 2.6}
	p.Objects = nil
	p.Sitters[0].At = [2]float64{0.7, 9}
	p.Camera.At, p.Camera.Aim = geom.V(0.8, 14, 1.4), geom.V(0.7, 9, 1.4)
	p.Camera.Near, p.Camera.Far = 4, 7
	for i := range p.Lights {
		p.Lights[i].Field = nil
		for j := range p.Lights[i].Bodies {
			b := &p.Lights[i].Bodies[j]
			b.At, b.Aim = geom.V(0.3+0.2*float64(i), 3+3*float64(i), 1.9), geom.V(0.7, 9, 1.6)
			b.Width = math.Min(b.Width, 0.6)
		}
		if s := p.Lights[i].Stand; s != nil {
			s.At = [2]float64{0.3 + 0.2*float64(i), 3 + 3*float64(i)}
		}
	}
	p.Panels = nil
	p.Title.Setup = "Corridor"
	out["corridor"] = p

	p = aisle()
	p.Room = Room{Outline: box(0, 0, 30, 20), Ceiling: 9}
	p.Title.Setup = "Hall"
	out["hall"] = p

	p = aisle()
	p.Room = Room{}
	p.Objects = nil
	p.Title.Setup = "No room"
	out["noroom"] = p

	p = aisle()
	base := p.Lights
	p.Lights = nil
	for i := 0; i < 14; i++ {
		l := base[i%4]
		l.Role = fmt.Sprintf("Light %d", i+1)
		l.Field = nil
		b := l.Bodies[0]
		b.At = geom.V(0.4+0.48*float64(i), 0.9+0.35*float64(i*5%7), 1.2+0.1*float64(i))
		b.Width, b.Height, b.Depth = 0.4, 0.3, 0.2
		l.Bodies = []Body{b}
		l.Stand = &Stand{At: [2]float64{b.At.X, b.At.Y}, Radius: 0.3}
		p.Lights = append(p.Lights, l)
	}
	p.Readings = nil
	for i := 0; i < 30; i++ {
		p.Readings = append(p.Readings, Reading{Point: fmt.Sprintf("Point number %d, a long name", i+1),
			N: quantity.FNumber(1 + 0.4*float64(i)), Over: quantity.Stops(float64(i)/5 - 3), HasOver: true})
	}
	for i := 0; i < 14; i++ {
		p.Cautions = append(p.Cautions,
			"A caution that is rather long and must not be lost when the sheet has no room left, so it goes on.")
	}
	p.Title.Setup = "Fourteen lights with a name that is long"
	out["many"] = p

	out["empty"] = Plan{}
	return out
}
