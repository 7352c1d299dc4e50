package kit

import (
	"fmt"
	"math"
	"path"

	"halfstop/diag"
	"halfstop/photometry"
	q "halfstop/quantity"
)

// emitter is a face with the way its light falls off.
type emitter struct {
	shape         string
	width, height float64 // as in Source
	profile       profile
}

// shareKept is what an accessory passes on of light that a head already throws forward, against
// what it passes of a bare tube's in terms of the standard reflector's. Chosen so that a shoe flash
// loses what one practitioner metered at 6 ft against its own beam: umbrellas about 2 stops, a 71
// cm box with baffle about 3 [S8]; here 2.1 and 2.6. Check: TestShoeFlashLosses.
const shareKept = 0.65

// mostKept is the largest share of the light given to it that any accessory passes on (common
// practice, no source: clean polished metal and glass).
const mostKept = 0.9

// standardReflector is the modifier all gains are stated against.
const standardReflector = "standard reflector"

// pair is a head with a modifier and a grid: the emitter they make and the level at full, before
// gels, colour and setting.
type pair struct {
	emitter
	axial float64 // cd or cd·s at full, in the rated white
	web   *photometry.Web
	sd    float64 // stops
	why   []string
	notes diag.List
	depth q.Metres
	reads int // own readings that had a say
}

// pair works out a head with its accessories from the catalogue's figures, own readings left aside.
func (k *Kit) pair(h Head, modifier, grid string, files func(string) ([]byte, error)) (pair, error) {
	m, ok := k.FindModifier(modifier)
	if !ok {
		return pair{}, unknown("modifier", "kit.unknown-modifier", k.Modifiers, modifier)
	}
	bare, err := h.face()
	if err != nil {
		return pair{}, err
	}
	r, err := k.rated(h, files)
	if err != nil {
		return pair{}, err
	}
	out := pair{emitter: bare, axial: r.axial, web: r.web, sd: float64(h.Uncertainty), why: []string{r.why},
		notes: r.notes, depth: h.Depth + m.Depth}
	if err := k.mount(&out, h, m, r); err != nil {
		return pair{}, err
	}
	if grid != "" {
		g, ok := k.FindGrid(grid)
		if !ok {
			return pair{}, unknown("grid", "kit.unknown-grid", k.Grids, grid)
		}
		out.grid(g)
	}
	if !(out.axial > 0) || math.IsInf(out.axial, 0) {
		return pair{}, &Problem{Code: "kit.no-level", List: "heads", Name: h.Name,
			Text: fmt.Sprintf("the head %q gives no light as its figures stand", h.Name), Fix: "check its level"}
	}
	return out, nil
}

// mount puts a modifier on.
func (k *Kit) mount(out *pair, h Head, m Modifier, r rating) error {
	if key(m.Name) == key(r.with) {
		if key(m.Name) == "bare" {
			return nil
		}
		e, err := k.faceOf(m)
		out.emitter = e
		return err
	}
	bare := out.emitter
	face := bare
	if key(m.Name) != "bare" {
		var err error
		if face, err = k.onHead(m, bare); err != nil {
			return err
		}
	}
	toBare, err := k.keeps(h, r.with, bare)
	if err != nil {
		return err
	}
	keeps, err := k.keeps(h, m.Name, bare)
	if err != nil {
		return err
	}
	switch {
	case r.web != nil && m.Face == nil && m.On != "":
		out.web = shutWeb(r.web, float64(m.Cut))
	case r.web != nil:
		out.web = nil
		out.axial = r.web.Flux() * keeps / toBare / flux(face.shape, face.profile)
	default:
		from := bare
		if key(r.with) != "bare" {
			rm, _ := k.FindModifier(r.with)
			if from, err = k.onHead(rm, bare); err != nil {
				return err
			}
		}
		out.axial = r.axial * flux(from.shape, from.profile) / toBare * keeps / flux(face.shape, face.profile)
	}
	out.emitter = face
	out.sd = math.Hypot(out.sd, float64(m.Uncertainty))
	step, against := m.gain(), "the "+standardReflector
	if !allRound(bare) {
		step, against = math.Log2(out.axial/r.axial), "the head as it stands"
		if key(r.with) != "bare" {
			against = r.with
		}
	}
	if key(m.Name) != standardReflector || !allRound(bare) {
		out.why = append(out.why, fmt.Sprintf("%s: %s against %s, %s", m.Name, signed(step), against, or(m.Source,
			noSource)))
	}
	if !fits(m, h) {
		out.why = append(out.why, fmt.Sprintf("%s is not made for this kind of head (%s): check how it is held",
			m.Name, h.Mount))
	}
	return nil
}

// onHead is the face a modifier makes of a head. Doors have none of their own: they sit on another
// modifier where the head is a bare tube, else on the head as it stands.
func (k *Kit) onHead(m Modifier, bare emitter) (emitter, error) {
	if m.Face == nil && m.On != "" && !allRound(bare) {
		e := bare
		e.profile = shut(e.profile, float64(m.Cut))
		return e, nil
	}
	return k.faceOf(m)
}

// allRound tells a bare tube, which sends as much back as forward, from a head that throws its
// light forward.
func allRound(e emitter) bool {
	return (e.shape == "sphere" || e.shape == "point") && e.profile != nil && e.profile[120] > 0.5
}

// keeps is the share of the bare head's light that leaves it through a modifier.
//
// On a bare tube it follows from the gains alone: against the standard reflector's axis, and the
// bare tube's gain says where that lies. A head that throws its light forward has nothing to lose
// behind it, so there the share is shareKept times the modifier's light against the standard
// reflector's.
func (k *Kit) keeps(h Head, modifier string, bare emitter) (float64, error) {
	if key(modifier) == "bare" {
		return 1, nil
	}
	m, ok := k.FindModifier(modifier)
	if !ok {
		p := unknown("modifier", "kit.unknown-modifier", k.Modifiers, modifier)
		p.List, p.Name, p.Key = "heads", h.Name, "rated with"
		return 0, p
	}
	if m.Face == nil && !allRound(bare) { // doors on a lens: what is left of its own beam
		return flux(bare.shape, shut(bare.profile, float64(m.Cut))) / flux(bare.shape, bare.profile), nil
	}
	face, err := k.faceOf(m)
	if err != nil {
		return 0, err
	}
	omega := flux(face.shape, face.profile)
	if allRound(bare) {
		b, ok := k.FindModifier("bare")
		if !ok || b.Gain == nil {
			return 0, unknown("modifier", "kit.unknown-modifier", k.Modifiers, "bare")
		}
		return math.Exp2(m.gain()-b.gain()) * omega / flux(bare.shape, bare.profile), nil
	}
	std, ok := k.FindModifier(standardReflector)
	if !ok {
		return 0, unknown("modifier", "kit.unknown-modifier", k.Modifiers, standardReflector)
	}
	stdFace, err := k.faceOf(std)
	if err != nil {
		return 0, err
	}
	against := math.Exp2(m.gain()-std.gain()) * omega / flux(stdFace.shape, stdFace.profile)
	return math.Min(mostKept, shareKept*against), nil
}

// gain in stops against the standard reflector.
func (m Modifier) gain() float64 {
	if m.Gain == nil {
		return 0
	}
	return float64(*m.Gain)
}

// faceOf is a modifier's own face, or that of what it sits on, cut.
func (k *Kit) faceOf(m Modifier) (emitter, error) {
	on := m
	for range 4 {
		if on.Face != nil {
			break
		}
		next, ok := k.FindModifier(on.On)
		if on.On == "" || !ok {
			break
		}
		on = next
	}
	if on.Face == nil {
		return emitter{}, &Problem{Code: "kit.no-face", List: "modifiers", Name: m.Name, Key: "face",
			Text: fmt.Sprintf("the modifier %q has no face and sits on no other",
				m.Name), Fix: "write its face: {shape: disc, size: [40 cm], beam: 70 deg}"}
	}
	e, err := on.Face.emitter()
	if p, ok := err.(*Problem); ok {
		p.List, p.Name = "modifiers", on.Name
		return e, p
	}
	e.profile = shut(e.profile, float64(m.Cut))
	return e, nil
}

func fits(m Modifier, h Head) bool {
	for _, x := range m.Mount {
		if x == h.Mount {
			return true
		}
	}
	return len(m.Mount) == 0
}

// gridAt is the distance at which a grid's loss on axis is meant: the trade meters where the sitter
// is, not from afar. From there the outer parts of a face are already seen at an angle, so a cloth
// crate that takes one stop at 2 m takes less from afar.
const gridAt = 2

// grid puts cells in front.
func (p *pair) grid(g Grid) {
	gain := 0.0
	if g.Gain != nil {
		gain = float64(*g.Gain)
	}
	if p.web == nil {
		before := on(p.emitter, gridAt, false)
		p.profile = celled(p.profile, float64(g.Cut))
		p.axial *= math.Min(1, math.Exp2(gain)*before/on(p.emitter, gridAt, false))
	} else {
		p.axial *= math.Exp2(gain)
		p.web = celledWeb(p.web, float64(g.Cut))
	}
	if p.shape == "sphere" || p.shape == "tube" {
		p.why = append(p.why, fmt.Sprintf("%s sits on no flat face here: check how it is held", g.Name))
	}
	p.sd = math.Hypot(p.sd, float64(g.Uncertainty))
	p.why = append(p.why, fmt.Sprintf("%s: %s at 2 m, nothing beyond %s from the axis, %s", g.Name, signed(gain),
		g.Cut, or(g.Source, noSource)))
}

// celledWeb and shutWeb cut a measured distribution.
func celledWeb(w *photometry.Web, cut float64) *photometry.Web {
	if cut <= 0 || cut >= 90 {
		return w
	}
	return cutWeb(w, func(gamma float64) float64 {
		if gamma >= 89 {
			return 0
		}
		return math.Max(0, 1-math.Tan(gamma*degrees)/math.Tan(cut*degrees))
	})
}

func shutWeb(w *photometry.Web, cut float64) *photometry.Web {
	if cut <= 0 {
		return w
	}
	return cutWeb(w, func(gamma float64) float64 { return math.Min(1, math.Max(0, (cut+2-gamma)/4)) })
}

func cutWeb(w *photometry.Web, left func(gamma float64) float64) *photometry.Web {
	c := w.TypeC(1, 5)
	for _, row := range c.Table {
		for j, gamma := range c.Vertical {
			row[j] *= left(gamma)
		}
	}
	out, err := photometry.New(photometry.TypeC, c.Vertical, c.Horizontal, c.Table)
	if err != nil {
		return w
	}
	out.Opening = w.Opening
	return out
}

// rating is a head's level at full as stated.
type rating struct {
	axial float64
	web   *photometry.Web
	with  string // the modifier it is stated for
	why   string
	notes diag.List // what the reader of its photometric file noted
}

// rated works a head's level out from whichever way it is said.
func (k *Kit) rated(h Head, files func(string) ([]byte, error)) (rating, error) {
	bad := func(key, text, fix string) (rating, error) {
		return rating{}, &Problem{Code: "kit.level", List: "heads", Name: h.Name, Key: key, Text: text, Fix: fix}
	}
	ways := h.levels()
	if len(ways) > 1 {
		return bad(ways[1], fmt.Sprintf("the head %q says its level as %s and as %s", h.Name, ways[0], ways[1]),
			"leave one")
	}
	if len(ways) == 0 {
		if len(h.Reads) > 0 {
			return k.ratedByReading(h)
		}
		return bad("", fmt.Sprintf("the head %q says nothing of its level", h.Name),
			"write guide number, energy and efficacy, gives, flux, photometry or reads, or like: a head of the "+
				"catalogue")
	}
	flash := h.Kind == "flash"
	from, with := or(h.Source, noSource), or(h.RatedWith, "bare")
	switch ways[0] {
	case "guide number":
		if !flash {
			return bad("guide number", fmt.Sprintf("the continuous head %q has a guide number", h.Name),
				"write gives: {lux: 4000 lx, at: 1 m}")
		}
		c, iso := h.GuideC, float64(h.GuideISO)
		if c == 0 {
			c = 250
		}
		if iso == 0 {
			iso = 100
		}
		// Q_E(1 m) = C·GN²/S. Source: reference values A6.1.
		gn := float64(h.Guide)
		return rating{axial: c * gn * gn / iso, with: with,
			why: fmt.Sprintf("guide number %s at ISO %g with %s, C = %g: %s", h.Guide, iso, with, c, from)}, nil
	case "energy":
		if !flash {
			return bad("energy", fmt.Sprintf("the continuous head %q has an energy", h.Name), "write flux or gives")
		}
		if h.Efficacy == 0 {
			return bad("efficacy", fmt.Sprintf("the head %q has an energy but no efficacy", h.Name),
				"write efficacy: 45 (lumens per watt of the tube, commonly 35 to 50)")
		}
		return ratedByFlux(h, float64(h.Energy)*h.Efficacy, fmt.Sprintf("%s at %g lm/W: %s", h.Energy, h.Efficacy,
			from))
	case "flux":
		if flash {
			return bad("flux", fmt.Sprintf("the flash head %q has a flux", h.Name),
				"write energy and efficacy, or guide number")
		}
		return ratedByFlux(h, float64(h.Flux), fmt.Sprintf("%s: %s", h.Flux, from))
	case "gives":
		g := *h.Gives
		if g.At == 0 {
			g.At = 1
		}
		e, said := float64(g.Lux), g.Lux.String()
		if flash {
			e, said = float64(g.LuxSeconds), g.LuxSeconds.String()
		}
		if e == 0 {
			return bad("gives", fmt.Sprintf("the %s head %q gives no %s", h.Kind, h.Name,
				map[bool]string{true: "lux seconds",
					false: "lux"}[flash]), "a flash gives lux seconds, a continuous head lux")
		}
		if !(g.At > 0) {
			return bad("gives", fmt.Sprintf("a level at %s cannot be", g.At), "write at: 1 m")
		}
		face, err := h.face()
		if err == nil && key(with) != "bare" {
			m, ok := k.FindModifier(with)
			if !ok {
				return rating{}, unknown("modifier", "kit.unknown-modifier", k.Modifiers, with)
			}
			face, err = k.onHead(m, face)
		}
		if err != nil {
			return rating{}, err
		}
		return rating{axial: e / on(face, float64(g.At), false), with: with, why: fmt.Sprintf("%s at %s with %s: %s",
			said, g.At, with, from)}, nil
	}
	return ratedByFile(h, files)
}

// guideNumber is what an axial intensity (cd·s) makes at a sensitivity under a meter constant: GN²
// = I·S/C.
func guideNumber(axial, c, iso float64) q.Metres { return q.Metres(math.Sqrt(axial * iso / c)) }

// ratedByFlux spreads the bare lamp's light over its bare face.
func ratedByFlux(h Head, lm float64, why string) (rating, error) {
	bare, err := h.face()
	if err != nil {
		return rating{}, err
	}
	return rating{axial: lm / flux(bare.shape, bare.profile), with: "bare", why: why}, nil
}

func ratedByFile(h Head, files func(string) ([]byte, error)) (rating, error) {
	bad := func(text, fix string) (rating, error) {
		return rating{}, &Problem{Code: "kit.photometry", List: "heads", Name: h.Name, Key: "photometry", Text: text,
			Fix: fix}
	}
	if files == nil {
		return bad(fmt.Sprintf("the photometric file %q cannot be read here", h.Photometry),
			"give the level another way")
	}
	src, err := files(h.Photometry)
	if err != nil {
		return bad(fmt.Sprintf("the photometric file %q cannot be read: %v", h.Photometry, err),
			"put it into the shoot's folder")
	}
	web, list := photometry.Options{Files: Beside(h.Photometry, files), LampSet: h.LampSet}.Parse(h.Photometry, src)
	if web == nil {
		text, fix := h.Photometry+" holds no intensities", "mend the file"
		for _, m := range list {
			if m.Severity == diag.Error {
				text, fix = m.Pos.String()+": "+m.Text, m.Fix
				break
			}
		}
		return bad("the photometric file "+text, fix)
	}
	axial := web.Axial()
	if !(axial > 0) {
		return bad(fmt.Sprintf("the photometric file %q gives nothing along its axis", h.Photometry),
			"use it as a practical, or turn the file's axis to the beam")
	}
	why := h.Photometry
	if h.Kind == "flash" {
		why += ", read as candela seconds"
	}
	return rating{axial: axial, web: web, with: "bare", why: why, notes: list}, nil
}

// Beside fetches files named by another file: their names count from its folder.
func Beside(name string, files func(string) ([]byte, error)) func(string) ([]byte, error) {
	if files == nil {
		return nil
	}
	return func(other string) ([]byte, error) { return files(path.Join(path.Dir(name), other)) }
}

// face is the head as it stands.
func (h Head) face() (emitter, error) {
	if h.Face == nil {
		return emitter{shape: "point", profile: beamProfile(360)}, nil
	}
	e, err := h.Face.emitter()
	if err != nil {
		err.(*Problem).List, err.(*Problem).Name = "heads", h.Name
		return e, err
	}
	return e, nil
}

func (f Face) emitter() (emitter, error) {
	bad := func(text, fix string) (emitter, error) {
		return emitter{}, &Problem{Code: "kit.face", Key: "face", Text: text, Fix: fix}
	}
	need := map[string]int{"point": 0, "rectangle": 2, "disc": 1, "sphere": 1, "tube": 2}
	n, ok := need[f.Shape]
	if !ok {
		return bad(fmt.Sprintf("%q is no shape of a face", f.Shape), "write point, rectangle, disc, sphere or tube")
	}
	if len(f.Size) != n {
		return bad(fmt.Sprintf("a %s has %d sizes, not %d", f.Shape, n, len(f.Size)), "")
	}
	for _, s := range f.Size {
		if !(s > 0) || s > 20 {
			return bad(fmt.Sprintf("a face of %s cannot be", s), "sizes run from 1 mm to 20 m")
		}
	}
	if f.Beam < 0 || f.Beam > 360 || f.Beam > 0 && f.Beam < 1 {
		return bad(fmt.Sprintf("a beam of %s cannot be", f.Beam), "1 to 360 deg")
	}
	e := emitter{shape: f.Shape, profile: beamProfile(float64(f.Beam))}
	if n > 0 {
		e.width = float64(f.Size[0])
	}
	if n > 1 {
		e.height = float64(f.Size[1])
	}
	if f.Beam == 0 && (f.Shape == "sphere" || f.Shape == "point") {
		e.profile = beamProfile(360)
	}
	return e, nil
}

func signed(st float64) string { return fmt.Sprintf("%+.1f st", st) }

const noSource = "no source given"

func or(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
