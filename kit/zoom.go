package kit

import (
	"fmt"
	"math"

	q "halfstop/quantity"
)

// zoomed is the head with its zoom set to a focal length; 0 leaves it at its widest. Light alone on
// its axis is won: a modifier mounted on it gets what leaves the head, by its beam. Error: a head
// without a zoom, or a setting outside it.
func (h Head) zoomed(at q.Metres) (Head, error) {
	if at == 0 {
		return h, nil
	}
	bad := func(text, fix string) (Head, error) {
		return h, &Problem{Code: "kit.zoom", List: "heads", Name: h.Name, Key: "zoom", Text: text, Fix: fix}
	}
	z := h.Zoom
	switch {
	case z == nil:
		return bad(fmt.Sprintf("the head %q has no zoom", h.Name),
			"delete zoom, or take a head that has one, such as the shoe flash")
	case !(z.Long > z.Wide) || h.Face == nil || h.Face.Beam == 0:
		return bad(fmt.Sprintf("the zoom of %q makes no sense", h.Name),
			"write wide, long, beam and gain, and the beam of its face at wide")
	case at < z.Wide*0.999 || at > z.Long*1.001:
		return bad(fmt.Sprintf("%q zooms from %s to %s, not to %s", h.Name, millimetres(z.Wide), millimetres(z.Long),
			millimetres(at)), "write a setting that it has")
	}
	t := math.Log(float64(at/z.Wide)) / math.Log(float64(z.Long/z.Wide))
	wide := float64(h.Face.Beam)
	face := *h.Face
	face.Beam = q.Degrees(wide * math.Pow(float64(z.Beam)/wide, t))
	h.Face = &face
	won := math.Exp2(t * float64(z.Gain))
	h.Guide *= q.Metres(math.Sqrt(won))
	if h.Gives != nil {
		g := *h.Gives
		g.Lux, g.LuxSeconds = g.Lux*q.Lux(won), g.LuxSeconds*q.LuxSeconds(won)
		h.Gives = &g
	}
	return h, nil
}

func millimetres(x q.Metres) string { return fmt.Sprintf("%.4g mm", float64(x)*1000) }
