package kit

import (
	"fmt"
	"math"

	"halfstop/kind"
	q "halfstop/quantity"
	"halfstop/spectrum"
)

// Resolve turns what is asked into a source.
//
// The kit must be complete: Merge(Catalogue(), own). The error is a *Problem: an unknown head,
// modifier, grid or gel with the nearest that is known; a setting or a colour the head does not
// have; a level said twice or not at all. Figures follow this order: own reading of the very pair,
// own head's figures, the catalogue's. Check: TestEveryHeadWithEveryModifier, TestEnergy,
// TestOwnReading.
func (k *Kit) Resolve(w Want) (Source, error) {
	h, ok := k.FindHead(w.Head)
	if !ok {
		return Source{}, unknown("head", "kit.unknown-head", k.Heads, w.Head)
	}
	if h.Kind != "flash" && h.Kind != "continuous" {
		return Source{}, &Problem{Code: "kit.kind", List: "heads", Name: h.Name, Key: "kind",
			Text: fmt.Sprintf("the head %q is neither flash nor continuous",
				h.Name), Fix: "write kind: flash or kind: continuous"}
	}
	h, err := h.zoomed(w.Zoom)
	if err != nil {
		return Source{}, err
	}
	p, err := k.pair(h, w.Modifier, w.Grid, w.Files)
	if err != nil {
		return Source{}, err
	}
	if err := k.learn(h, w, &p); err != nil {
		return Source{}, err
	}
	k.apply(h, w, &p)
	s := Source{Shape: p.shape, Width: q.Metres(p.width), Height: q.Metres(p.height), Depth: p.depth,
		Profile: p.profile, Web: p.web, Flash: h.Kind == "flash", Watts: h.Watts, Hot: h.Hot,
		Mains: h.Feed == "mains" || h.Feed == "both", Battery: h.Feed == "battery" || h.Feed == "both", Why: p.why,
		Notes: p.notes}
	m, _ := k.FindModifier(w.Modifier)
	s.Weight = h.Weight + m.Weight
	if g, ok := k.FindGrid(w.Grid); ok && w.Grid != "" {
		s.Weight += g.Weight
	}

	if k, _ := kind.FindModifier(m.Kind); h.Hot && !k.HotHeads {
		s.Why = append(s.Why, fmt.Sprintf(
			"%s on a hot head: only cloth and parts made for heat, and let it cool before striking", m.Name))
	}

	// Colour, then cloth, then gels.
	c, err := h.light(w.Colour)
	if err != nil {
		return Source{}, err
	}
	s.Spectrum, s.InGamut, s.Drives = c.light, c.inGamut, c.drives
	s.AxialFull = p.axial * c.level
	if c.why != "" {
		s.Why = append(s.Why, c.why)
	}
	if m.Tint != 0 {
		s.Spectrum = s.Spectrum.Mul(shiftFilter(m.Tint))
		s.Why = append(s.Why, fmt.Sprintf("%s: %+.0f mired by its cloth", m.Name, m.Tint))
	}
	for _, g := range w.Gels {
		t, why, err := k.Transmittance(g)
		if err != nil {
			return Source{}, err
		}
		left := spectrum.LuminousRatio(s.Spectrum, t)
		s.Spectrum = s.Spectrum.Mul(t)
		s.AxialFull *= left
		s.Why = append(s.Why, fmt.Sprintf("gel %s: %s with this light, %s", g, signed(math.Log2(left)), why))
		if h.Hot {
			s.Why = append(s.Why, fmt.Sprintf(
				"gel %s on a hot head: keep it off the lens and use sheet made for heat", g))
		}
	}
	if !(s.AxialFull > 0) {
		return Source{}, &Problem{Code: "kit.dark",
			Text: fmt.Sprintf("nothing is left of the head %q behind these gels", h.Name), Fix: "take one away"}
	}
	s.Spectrum = s.Spectrum.PerLuminance()

	// The setting.
	s.Dial = h.Dial()
	set, err := s.Dial.setting(w)
	if err != nil {
		if p, ok := err.(*Problem); ok {
			p.Name = h.Name
		}
		return Source{}, err
	}
	s.Setting, s.Headroom, s.Floor = set, -set, max(0, s.Dial.Range+set)
	if s.Flash {
		s.Step = s.Dial.Step
	}
	s.Dialled = s.Dial.Print(set)
	s.Axial = s.AxialFull * set.Times()
	for i := range s.Drives {
		s.Drives[i] *= set.Times()
	}
	s.Uncertainty = q.Stops(p.sd)
	s.Basis = Basis{Maker: k.stated[key(h.Name)], Readings: p.reads}
	if len(h.Reads) > 0 && h.level() == "" {
		s.Basis.Readings = max(1, p.reads)
	}
	return s, nil
}

// setting takes whichever way the setting is asked.
func (d Dial) setting(w Want) (q.Stops, error) {
	switch {
	case w.Stops != nil:
		return d.Within(*w.Stops, fmt.Sprintf("%+.1f st", float64(*w.Stops)))
	case w.Level != nil:
		if !(*w.Level > 0) {
			return 0, &Problem{Code: "kit.power-off", Text: "a level of 0 % is no light", Fix: "write off: true"}
		}
		return d.Within(q.StopsOf(float64(*w.Level)), w.Level.String())
	}
	return d.Parse(w.Power)
}
