package ways

import (
	"slices"
	"strings"

	"halfstop/balance"
	"halfstop/stage"
)

// area is a part of the picture that a light can serve.
type area uint8

const (
	faceArea   area = iota // the front of the sitter
	shadeArea              // the side of the face away from the key
	edgeArea               // hair, ears, shoulders: what is seen of the sitter's outline
	behindArea             // what is not of the sitter
)

// areaOf returns the part of a point, by its name.
func areaOf(pt *stage.Point) area {
	name := strings.ToLower(pt.Name)
	switch {
	case !pt.Sitter:
		return behindArea
	case slices.ContainsFunc([]string{"hair", "edge", "crown", "ear ", "shoulder"},
		func(w string) bool { return strings.Contains(name, w) }):
		return edgeArea
	case strings.Contains(name, "shadow"):
		return shadeArea
	}
	return faceArea
}

// areasOf returns the parts that a light of this role or name serves. known is false for a word
// without a meaning here.
func areasOf(ly *stage.Layer) (areas []area, known bool) {
	for _, w := range []string{ly.Role, ly.Name} {
		switch strings.TrimSuffix(strings.ToLower(w), beside) {
		case "key":
			return []area{faceArea}, true
		case "fill":
			return []area{shadeArea}, true
		case "hair", "edge", "rim", "kicker", "edge left", "edge right", "hair left", "hair right":
			return []area{edgeArea}, true
		case "background":
			return []area{behindArea}, true
		}
	}
	return nil, false
}

// ownShare is the least part of a light's best direct level at any point of the look with which a
// light of unknown role serves a point: a stop (judgement).
const ownShare = 0.5

// purposes sets the points that each light serves: by its role where that says so, else by where it
// gives most direct light of all points of the look.
func (r *rig) purposes(p *balance.Problem) {
	var points []int
	for _, t := range p.Targets {
		for _, i := range []int{t.Point, t.To} {
			if i >= 0 && !slices.Contains(points, i) {
				points = append(points, i)
			}
		}
	}
	slices.Sort(points)
	for l := range p.Lights {
		ly := &r.stage.Layers[l]
		if ly.Light < 0 {
			continue
		}
		serves := []int{}
		if areas, known := areasOf(ly); known {
			for _, i := range points {
				if slices.Contains(areas, areaOf(&r.stage.Points[i])) {
					serves = append(serves, i)
				}
			}
			if len(serves) > 0 || r.covered(p, l, points) {
				p.Lights[l].For = serves
				continue
			}
		}
		best := 0.0
		gives := make([]float64, len(points))
		for k, i := range points {
			if m := r.measured.Incident[i]; m != nil {
				direct := m.Direct[l]
				gives[k] = r.options[l][p.Lights[l].Option].fold.Apply(&direct)[1]
				best = max(best, gives[k])
			}
		}
		for k, i := range points {
			if best > 0 && gives[k] >= ownShare*best {
				serves = append(serves, i)
			}
		}
		if len(serves) > 0 {
			p.Lights[l].For = serves
		}
	}
}

// covered reports whether another light's role serves one of the points. Then a light whose role
// names none of them serves none.
func (r *rig) covered(p *balance.Problem, l int, points []int) bool {
	for o := range p.Lights {
		ly := &r.stage.Layers[o]
		if o == l || ly.Light < 0 || p.Lights[o].Off {
			continue
		}
		areas, _ := areasOf(ly)
		if slices.ContainsFunc(points, func(i int) bool { return slices.Contains(areas, areaOf(&r.stage.Points[i])) }) {
			return true
		}
	}
	return false
}
