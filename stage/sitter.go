package stage

import (
	"fmt"
	"math"
	"strings"
	"sync"

	"halfstop/content"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/geom"
	"halfstop/material"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/trace"
)

// figureParams says the sitter to package figure.
func figureParams(w *shoot.Sitter, d figure.Detail) figure.Params {
	p := figure.Woman()
	if equal(w.Figure, "man") {
		p = figure.Man()
	}
	if w.Stature > 0 {
		p.Stature = w.Stature
	}
	if g, ok := figure.GirthNamed(w.Build); ok {
		p.Girth = g
	}
	if v, ok := figure.PoseNamed(w.Pose); ok {
		p.Pose = v
	}
	if v, ok := figure.HairNamed(w.Hair); ok {
		p.Hair = v
	}
	if v, ok := figure.ClothesNamed(w.Clothes); ok {
		p.Clothes = v
	}
	if v, ok := figure.HandsNamed(w.Hands); ok {
		p.Hands = v
	}
	if v, ok := figure.BeardNamed(w.Beard); ok {
		p.Beard = v
	}
	if v, ok := figure.HatNamed(w.Hat); ok {
		p.Hat = v
	}
	if w.Seat > 0 {
		p.Seat = w.Seat
	}
	p.Years, p.Rest = w.Age, w.Rest
	p.Turn, p.Tilt = w.Turn, w.Tilt
	p.Glasses = w.Glasses
	p.Detail = d
	return p
}

// detail is how finely a sitter at the place is drawn: as the picture asks, if there is to be one,
// by what a pixel covers at the head. Check: TestDetailOfPicture.
func (s *Stage) detail(at geom.Vec) figure.Detail {
	v, n := s.View, s.opt.Pixels
	if n[0] <= 0 || n[1] <= 0 || v == nil || v.Lens <= 0 {
		return s.opt.Detail
	}
	d := max(0.1, math.Hypot(at.X-v.At.X, at.Y-v.At.Y))
	pitch := min(float64(v.Format.Width)/float64(n[0]), float64(v.Format.Height)/float64(n[1]))
	return figure.DetailFor(1000 * d * pitch / float64(v.Lens))
}

// Other is one of several people in a picture, beside the sitter.
type Other struct {
	Name string
	Mesh *figure.Mesh
}

// sitter builds the person who is photographed and who else is in the picture, and places their
// landmarks.
func (s *Stage) sitter() {
	if w := s.Setup.Sitter; w != nil {
		s.Sitter = s.person(w, s.path("sitter"))
	}
	for i := range s.Setup.Sitters {
		w := &s.Setup.Sitters[i]
		s.Others = append(s.Others, Other{w.Name, s.person(w, s.path(fmt.Sprintf("sitters[%d]", i)))})
	}
}

// Placed is a person, with the stool under them, as one body that is carried as a whole.
type Placed struct {
	At  geom.Vec // where they stand, metres
	Yaw float64  // and their turn, radians, as figure.YawTo

	shape    content.Key // what they are, wherever they stand
	from, to trace.Mark
}

// Triangles are the numbers of the body's first triangle of the scene and of the one after its
// last.
func (p *Placed) Triangles() [2]int { return [2]int{p.from.Triangles(), p.to.Triangles()} }

// person builds one person into the scene.
func (s *Stage) person(w *shoot.Sitter, path string) *figure.Mesh {
	from := s.Scene.Mark()
	mesh, p := s.build(w, path)
	if p.from, p.to = from, s.Scene.Mark(); len(s.People) < trace.MostBodies && p.from != p.to {
		s.People = append(s.People, p)
	}
	return mesh
}

// build is person without the note of where the body lies in the scene.
func (s *Stage) build(w *shoot.Sitter, path string) (*figure.Mesh, Placed) {
	at := geom.V(float64(w.At[0]), float64(w.At[1]), 0)
	at.Z = s.footing(at, math.Inf(1))
	dir := geom.V(0, 1, 0)
	switch {
	case w.Faces.Word == "camera" || w.Faces.Word == "" && geom.Of(w.Faces.Vec).Len2() == 0:
		if s.View != nil {
			dir = s.View.Eye().Sub(at)
		}
	default:
		dir = s.direction(w.Faces, at, dir, path+".faces")
	}
	params := figureParams(w, s.detail(at))
	written := func(key string) bool { return s.doc == nil || s.doc.Has(path+"."+key) }
	if y := figure.StatureAt(w.Age, equal(w.Figure, "man")); y > 0 && !written("stature") {
		params.Stature = y
	}
	if params.Pose == figure.Stool && !written("seat") {
		params.Seat = 0.75
	}
	placed := Placed{At: at, Yaw: figure.YawTo(dir)}
	var shape content.Hash
	if w.Model != nil {
		mesh := s.model(w, params, at, dir, path, &shape)
		placed.shape = shape.Key()
		return mesh, placed
	}
	if params.Hands == figure.OnSurface && params.Rest == 0 {
		params.Rest = s.surfaceNear(at, float64(params.Stature))
	}
	shape.Text(fmt.Sprintf("%+v", params))
	mesh := s.opt.Mesh(params).Placed(at, placed.Yaw)
	before := s.Scene.Triangles()
	s.contact(mesh, at, dir, params, path)
	shape.Int(s.Scene.Triangles() - before) // of a stool
	placed.shape = shape.Key()
	if s.opt.Empty {
		return mesh, placed
	}
	skin := Material(material.Skin(s.skinOf(w, path)))
	skin.Second = lipTint()
	switch w.MakeUp {
	case "powder": // takes the sheen off: common practice, no source for the figure
		skin.CoatAlpha = min(1, skin.CoatAlpha*1.9)
	case "dewy":
		skin.CoatAlpha *= 0.6
	}
	lip := skin
	lip.Name = "lip"
	lip.CoatAlpha = 0.12 // moist
	hair := Material(material.Hair(orWord(w.HairColour, "dark brown")))
	hair.Strand = true
	cloth := s.surface(w.Cloth, path+".cloth")
	if w.Cloth.Preset == "" && w.Cloth.Diffuse == nil {
		cloth = s.named("navy wool", path)
	}
	worn := func(m *shoot.Surface, key string, otherwise trace.Material) trace.Material {
		if m == nil {
			return otherwise
		}
		return Material(s.surface(*m, path+"."+key))
	}
	trousers := worn(w.Trousers, "trousers", Material(s.named("grey flannel", path)))
	plain := func(name string, rho float64) trace.Material {
		return trace.Material{Name: name, Diffuse: trace.Grey(rho)}
	}
	shirt := Material(s.named("white cotton", path))
	if equal(w.Clothes, "shirt") && written("cloth") { // a shirt is what is worn
		shirt = Material(cloth)
	}
	mats := map[figure.Part]trace.Material{
		figure.Skin: skin, figure.Lip: lip,
		figure.Sclera: {Name: "sclera", Diffuse: trace.Grey(0.50), Coat: 1.376, CoatAlpha: 0.01},
		figure.Iris:   {Name: "iris", Diffuse: irisTint()},
		figure.Pupil:  plain("pupil", 0.01),
		figure.Cornea: {Name: "cornea", Mirror: trace.Grey(0.025), Clear: trace.Grey(0.975)},
		figure.Tear:   {Name: "tear", Diffuse: tearTint(), Coat: 1.376, CoatAlpha: 0.02},
		figure.Lash:   plain("lash", 0.02), figure.Brow: hair, figure.HairStrand: hair,
		figure.Cloth: Material(cloth), figure.ShirtCloth: worn(w.Shirt, "shirt", shirt),
		figure.Trousers: trousers, figure.Shoe: worn(w.Shoes, "shoes", plain("shoe", 0.05)),
		figure.HatCloth: worn(w.HatCloth, "hat cloth", trousers),
		figure.Glass:    {Name: "lens", Glass: 1.5, Clear: trace.Grey(0.99)}, figure.Rim: {Name: "rim",
			Diffuse: trace.Grey(0.03), Coat: 1.5, CoatAlpha: 0.05},
	}
	// All parts, drawn or not: what a page holds of a picture's scene has the same numbers as the
	// scene of the readings, whose sitter has no strands and lashes.
	var ids [len(figure.PartNames)]int
	for p := range ids {
		t, known := mats[figure.Part(p)]
		if !known {
			t = skin
		}
		ids[p] = s.add(t, path)
	}
	m := trace.Mesh{Pos: mesh.Pos, Normals: mesh.Nrm, Strands: mesh.Tan, Tris: mesh.Tri, Mat: make([]int,
		len(mesh.Tri))}
	m.Tones = tones(mesh)
	for i, p := range mesh.Part {
		m.Mat[i] = ids[p]
	}
	if err := s.Scene.AddMesh(&m); err != nil {
		s.problem(diag.Error, "stage.sitter", path, "", "the sitter cannot be built: %v", err)
	}
	return mesh, placed
}

// surfaceNear is the height of the furniture nearest to a person at which a hand can lie; half the
// stature where there is none.
func (s *Stage) surfaceNear(at geom.Vec, stature float64) q.Metres {
	best, high := 1.0, 0.5*stature
	for _, b := range s.boxes() {
		if b.Hi.Z < 0.38*stature || b.Hi.Z > 0.7*stature {
			continue
		}
		d := math.Hypot(max(b.Lo.X-at.X, 0, at.X-b.Hi.X), max(b.Lo.Y-at.Y, 0, at.Y-b.Hi.Y))
		if d < best {
			best, high = d, b.Hi.Z
		}
	}
	return q.Metres(high)
}

// skinOf is a sitter's place on the scale of skins: as written, or by two readings. Incident E =
// C·N²/(t·S) and reflected L = K·N²/(t·S), ISO 2720, give the reflectance π·L/E of a matt skin that
// two readings at one setting tell.
func (s *Stage) skinOf(w *shoot.Sitter, path string) float64 {
	r := w.SkinReads
	if r == nil {
		return w.Skin
	}
	h := s.Shoot.House
	over := float64(r.Spot.N.StopsOver(r.Incident.N))
	rho := math.Pi * h.K / h.FlatC * math.Exp2(over)
	k, ok := material.SkinOfReflectance(rho)
	if !ok {
		s.problem(diag.Finding, "stage.skin", path+".skin reads",
			"hold both square to one light, without gloss in the spot's circle, at one shutter time and sensitivity",
			"these readings tell of a skin that reflects %.0f %%; the skins of people lie between %.0f and %.0f "+
				"%%: the nearest is taken", rho*100, material.SkinReflectance(10)*100, material.SkinReflectance(1)*100)
	}
	return k
}

// Worked out once: a spectrum from a colour is a search.
var (
	irisTint = sync.OnceValue(func() trace.Band { return windowsOf(spectrum.ReflectanceOfSRGB(0.38, 0.27, 0.18)) })
	tearTint = sync.OnceValue(func() trace.Band { return windowsOf(spectrum.ReflectanceOfSRGB(0.85, 0.6, 0.55)) })
)

// lipTint is what lips reflect beside the skin round them: less below 600 nm, where blood absorbs.
// Level common practice, no source.
var lipTint = sync.OnceValue(func() trace.Band {
	c, err := spectrum.Smooth([][2]float64{{380, 0.72}, {450, 0.69}, {500, 0.66}, {545, 0.60}, {580, 0.62}, {610,
		0.80}, {650, 0.91}, {720, 0.95}})
	if err != nil {
		panic(err) // stated above
	}
	return windowsOf(c)
})

// tones turns the figure's tones into what materials take: the share of lip colour of skin, the
// factor of hair and iris.
func tones(m *figure.Mesh) []float32 {
	t := make([]float32, len(m.Pos))
	for i := range t {
		t[i] = 1
	}
	for k, tri := range m.Tri {
		for _, v := range tri {
			if int(v) >= len(m.Tone) {
				continue
			}
			x := m.Tone[v]
			switch m.Part[k] {
			case figure.Skin, figure.Lip:
				t[v] = min(1, max(0, x)) // share of the lip's tint
			case figure.HairStrand, figure.Iris:
				t[v] = min(1, max(0.05, 0.5+x))
			}
		}
	}
	return t
}

func orWord(s, fallback string) string {
	if s == "" {
		return fallback
	}
	return s
}

// landmark finds an anatomical point by name. Points that depend on the light (key side, shadow
// side, hair edge) are chosen here.
func (s *Stage) landmark(name string) (figure.Landmark, bool) {
	if s.Sitter == nil && len(s.Others) == 0 {
		return figure.Landmark{}, false
	}
	name = strings.ToLower(strings.TrimSpace(trimPrefixes(name, "sitter.")))
	if rest, ok := strings.CutPrefix(name, "sitters."); ok {
		for _, o := range s.Others {
			if mark, ok := strings.CutPrefix(rest, strings.ToLower(o.Name)+"."); ok {
				own := *s // their own sides towards the light
				own.Sitter, own.Others = o.Mesh, nil
				return own.landmark(mark)
			}
		}
		return figure.Landmark{}, false
	}
	if s.Sitter == nil {
		return figure.Landmark{}, false
	}
	lm := s.Sitter.Landmarks
	if l, ok := lm[name]; ok {
		return l, true
	}
	sides := func(left, right string, towards geom.Vec, same bool) (figure.Landmark, bool) {
		l, ok1 := lm[left]
		r, ok2 := lm[right]
		if !ok1 || !ok2 {
			return l, false
		}
		if (l.At.Sub(r.At).Dot(towards) > 0) == same {
			return l, true
		}
		return r, true
	}
	key := s.keyDirection()
	switch name {
	case "face key side", "key cheek":
		return sides("cheek left", "cheek right", key, true)
	case "face shadow side", "shadow cheek":
		return sides("cheek left", "cheek right", key, false)
	case "near cheek", "far cheek": // of a turned head: the broad side and the short one
		if s.View != nil {
			return sides("cheek left", "cheek right", s.View.Eye().Sub(lm["face"].At), name == "near cheek")
		}
		return figure.Landmark{}, false
	case "hair edge":
		return sides("hair edge left", "hair edge right", s.edgeDirection(key), true)
	case "hair":
		return sides("hair left", "hair right", s.edgeDirection(key), true)
	case "hands", "hand":
		return sides("hand left", "hand right", key, true)
	case "shoulder":
		return sides("shoulder left", "shoulder right", s.edgeDirection(key), true)
	case "near eye":
		if s.View != nil {
			l, r := lm["eye left"], lm["eye right"]
			if l.At.Sub(s.View.Eye()).Len2() < r.At.Sub(s.View.Eye()).Len2() {
				return l, true
			}
			return r, true
		}
		l, ok := lm["eyes"]
		return l, ok
	case "face toward camera", "face toward key":
		l, ok := lm["face"]
		return l, ok
	}
	return figure.Landmark{}, false
}

// keyDirection is from the face towards the key light, level; towards the camera's right of the
// sitter where there is none.
func (s *Stage) keyDirection() geom.Vec {
	face := s.Sitter.Landmarks["face"]
	at, ok := s.lightAt("key")
	for i := 0; !ok && i < len(s.Setup.Lights); i++ {
		if l := &s.Setup.Lights[i]; !l.Off && len(l.At) > 0 {
			at, ok = place(l.At, l.Height), true
		}
	}
	if !ok {
		// A window as the only light.
		for i := range s.Shoot.Room.Windows {
			w := &s.Shoot.Room.Windows[i]
			corners, _ := Outline(&s.Shoot.Room)
			if a, dir, _, _, ok := Wall(corners, w.Wall); ok && !s.off(w.Name) {
				return a.AddMul(dir, float64(w.From+w.Width/2)).Add(geom.V(0, 0, float64(w.Sill+w.Head)/2)).Sub(face.At)
			}
		}
		return geom.V(-face.Normal.Y, face.Normal.X, 0)
	}
	return at.Sub(face.At)
}

// edgeDirection is from the face towards the light that makes the edge; away from the key where
// there is none.
func (s *Stage) edgeDirection(key geom.Vec) geom.Vec {
	face := s.Sitter.Landmarks["face"]
	for _, role := range []string{"edge", "rim", "hair", "accent"} {
		if at, ok := s.lightAt(role); ok {
			return at.Sub(face.At)
		}
	}
	return key.Neg()
}

// camera places the lens; it is aimed once the sitter stands.
func (s *Stage) camera() {
	c := s.Setup.Camera
	if c == nil {
		return
	}
	f, ok := optics.ParseFormat(orWord(c.Sensor, "full frame"))
	if !ok {
		s.problem(diag.Error, "stage.sensor", s.path("camera.sensor"),
			"write 'full frame', 'crop 1.5', 'crop 1.6', 'medium 44x33' or 'WIDTHxHEIGHT mm'", "%q is no sensor",
			c.Sensor)
	}
	if c.Upright {
		f = f.Upright()
	}
	v := &View{Set: c}
	v.At, v.Lens = place(c.At, c.Height), c.Lens
	v.Format = f
	s.View = v
	if c.Mirror != "" {
		v.Mirror = s.findMirror(c.Mirror, s.path("camera.mirror"))
	}
}

// aimCamera turns the camera to its aim and sets its focus.
func (s *Stage) aimCamera() {
	v := s.View
	if v == nil {
		return
	}
	aim := v.Set.Aim
	what := v.At.Add(geom.V(1, 0, 0)) // the default aim with nobody there: level along +x
	if !(hasPrefix(aim.Name, "sitter") && s.Setup.Sitter == nil) {
		what = v.Sight(s.target(aim, v.At, s.path("camera.aim")))
		if v.Mirror != nil && aim.Name == "" {
			what = geom.Of(aim.At) // a place is meant as it is: what hangs on the mirror's wall
		}
	}
	v.View = optics.Look(v.At, what, v.Format, v.Lens, 0)
	v.Frame = geom.Frame{S: v.Right.Neg(), T: v.Up, N: v.Axis}
	focus := what.Sub(v.At).Dot(v.Axis)
	if f := v.Set.Focus; f != nil {
		focus = v.Sight(s.target(*f, v.At, s.path("camera.focus"))).Sub(v.At).Dot(v.Axis)
	} else if l, ok := s.landmark("near eye"); ok {
		if d := v.Sight(l.At).Sub(v.At).Dot(v.Axis); d > 0.05 {
			focus = d
		}
	}
	v.Focus = q.Metres(max(0.05, focus))
}
