package answer

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"
	"strings"

	"halfstop/figure"
	"halfstop/photo"
	"halfstop/picture"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/testframe"
)

// frameSide is the longer side at which a test frame is compared, pixels: a light's picture is
// smooth, and a shift of a pixel is 1 % of the frame.
const frameSide = 120

// FrameWorkTest says how to compare.
type FrameWorkTest struct {
	Samples int // a pixel of the predicted picture, 1 or more
	Seed    uint64
	Metered float64 // one standard deviation of every light, stops, where the heads were metered; 0: by the kit
	Step    func(done, of int)
}

// FrameTest is a test frame held against its prediction, as `compare FRAME --json` prints it.
type FrameTest struct {
	Version int             `json:"version"`
	Setup   string          `json:"setup"`
	Camera  string          `json:"camera"`     // the settings that the prediction is for
	First   bool            `json:"first_look"` // lights are not told apart: none are listed, causes are of the file alone
	ByExif  bool            `json:"settings_by_the_file"`
	Shift   [2]float64      `json:"shift"` // of the frame's width and height, to the right and down
	Roll    float64         `json:"roll_degrees"`
	ByMark  bool            `json:"by_mark"`   // placed by a point that was marked, here or in an earlier frame
	White   float64         `json:"white_duv"` // Δu'v' of its white against the plan's
	Rest    float64         `json:"unexplained"`
	Clipped float64         `json:"clipped"` // shares of the frame
	Floor   float64         `json:"in_the_floor"`
	Lights  []FrameLight    `json:"lights"`
	Points  []FrameTestSpot `json:"points"`
	Causes  []FrameCause    `json:"causes"`
	Notes   []string        `json:"notes"`

	Photo, Predicted *testframe.Image `json:"-"` // both in linear light, of one size
}

// FrameLight is what one light gave.
type FrameLight struct {
	Name  string  `json:"light"`
	Stops float64 `json:"stops"` // against its prediction; −8: dark
	Share float64 `json:"share"` // of the frame's light
	Noise float64 `json:"noise"` // one standard deviation of its factor
	Plan  string  `json:"plan"`  // 'on', 'off'
}

// FrameTestSpot is one point of the setup in the frame.
type FrameTestSpot struct {
	Name  string  `json:"point"`
	X     float64 `json:"x"` // where it lies in the frame, shares
	Y     float64 `json:"y"`
	Stops float64 `json:"stops"`      // as photographed, to mid-grey
	Off   float64 `json:"off_stops"`  // against the prediction
	DUV   float64 `json:"delta_uv"`   // colour against the prediction, Δu'v'
	Clip  bool    `json:"clipped"`    // in the photograph
	Out   bool    `json:"outside"`    // not in the photograph
	Below bool    `json:"below_plan"` // the plan has it in the floor
}

// FrameCause is a likely mistake.
type FrameCause struct {
	Light  string  `json:"light,omitempty"`
	Words  string  `json:"cause"`
	Stops  float64 `json:"stops"`
	Chance float64 `json:"chance"`
}

// FramePlan is the predicted picture of a setup, light by light, ready for test frames.
type FramePlan struct {
	stage  *stage.Stage
	coarse bool // good for a first look only
	layers []testframe.Layer
	w, h   int
}

// A coarse prediction: its longer side, pixels, and the samples of one.
const (
	coarseSide    = 48
	coarseSamples = 4
)

// FramePlan computes the predicted picture of a setup: some seconds of work, once. coarse, where
// not nil, is given a coarse prediction of it first: a few whole paths of few pixels, which is
// less work than to begin a cache, the sitter as for readings.
func (j *Job) FramePlan(ctx context.Context, setup int, w FrameWorkTest, coarse func(*FramePlan)) (*FramePlan, error) {
	cam := j.File.Setups[setup].Camera
	if cam == nil {
		return nil, fmt.Errorf("%s has no camera, so there is no picture to compare with", j.File.Setups[setup].Name)
	}
	plan := func(j *Job, off map[string]bool, d figure.Detail, side int, work render.Work) (*FramePlan, error) {
		s, list := stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Detail: d})
		if s == nil {
			return nil, list.Err()
		}
		work.Solo, work.Seed, work.Windows = -1, w.Seed, true
		work.Width, work.Height = Pixels(cam, side)
		return j.framePlan(ctx, s, off, work, w.Metered)
	}
	if coarse != nil {
		p, err := plan(j, nil, figure.Shadow, coarseSide, render.Work{Samples: coarseSamples, Exact: true})
		if err != nil {
			return nil, err
		}
		p.coarse = true
		coarse(p)
	}
	// Of few pixels, but the sitter as a camera has him and not as so few could do with: a coat is
	// open as far as in the photograph.
	whole, off := j.allOn(setup)
	return plan(whole, off, figure.Far, frameSide, render.Work{Samples: max(1, w.Samples), Progress: w.Step})
}

// framePlan exposes a stage whose lights are all on.
func (j *Job) framePlan(ctx context.Context, s *stage.Stage, off map[string]bool, w render.Work,
	metered float64) (*FramePlan, error) {
	f, err := render.Expose(ctx, s, w)
	if err != nil {
		return nil, err
	}
	var bare *render.Frame // of the light as it was traced: the filter below is of the gels' colours
	if w.Width > coarseSide || w.Height > coarseSide {
		bare = j.withoutGels(f)
	}
	light, err := filtered(ctx, f)
	if err != nil {
		return nil, err
	}
	ungelled, err := filtered(ctx, bare)
	if err != nil {
		return nil, err
	}
	p := &FramePlan{stage: f.Stage, w: f.Film.W, h: f.Film.H}
	glare := render.RenderingOf(f.Stage).Glare
	for l := range f.Stage.Layers {
		ly := &f.Stage.Layers[l]
		house := ly.Light < 0 || f.Stage.Setup.Lights[ly.Light].Head == "" // a lamp of the place
		y := testframe.Layer{Name: ly.Name, Flash: ly.Flash, House: house, Off: off[ly.Name],
			SD:    float64(ly.Uncertainty),
			Image: veiled(developed(light[l], f.Stage, p.w, p.h), glare)}
		if metered > 0 && !y.House {
			y.SD = metered
		}
		if bare != nil && ly.Light >= 0 && len(f.Stage.Setup.Lights[ly.Light].Gel) > 0 {
			b := veiled(developed(ungelled[l], f.Stage, p.w, p.h), glare)
			y.Bare = &b
		}
		p.layers = append(p.layers, y)
	}
	return p, nil
}

// FrameMark is where a test frame lies by a point that somebody marked in it.
type FrameMark struct {
	Shift [2]float64  // as FrameTest.Shift
	In    image.Image // the frame that it was marked in; nil: this one
}

// exposed begins a test: the photograph, and the lights' pictures as the camera's settings have
// them.
func (p *FramePlan) exposed(img image.Image, x photo.Exif) (*FrameTest, []testframe.Layer) {
	s := p.stage
	cam := s.Setup.Camera
	out := &FrameTest{Version: 1, Setup: s.Setup.Name, Lights: []FrameLight{}, Points: []FrameTestSpot{},
		Causes: []FrameCause{}, Notes: []string{}}
	bias, steady := 0.0, 0.0 // by the settings of the file, stops; steady light goes with the shutter too
	out.Camera = fmt.Sprintf("%v, %v, ISO %.0f", cam.Aperture, cam.Shutter, float64(cam.ISO))
	if x.Complete() {
		out.ByExif = true
		bias = 2*math.Log2(float64(cam.Aperture)/x.FNumber) + math.Log2(x.ISO/float64(cam.ISO))
		steady = math.Log2(x.Shutter / float64(cam.Shutter))
		was := out.Camera
		out.Camera = fmt.Sprintf("f/%.3g, %.4g s, ISO %.0f", x.FNumber, x.Shutter, x.ISO)
		if math.Abs(bias) > 0.2 || math.Abs(steady) > 0.2 {
			out.Causes = append(out.Causes, FrameCause{Stops: bias + steady, Chance: 0.99,
				Words: fmt.Sprintf("the camera was set to %s, the plan has %s", out.Camera, was)})
		}
	}
	layers := slices.Clone(p.layers)
	for l := range layers {
		k := math.Exp2(bias)
		if !layers[l].Flash {
			k *= math.Exp2(steady)
		}
		layers[l].Image = layers[l].Times(k)
		if b := layers[l].Bare; b != nil {
			m := b.Times(k)
			layers[l].Bare = &m
		}
	}
	out.Photo = linear(img, p.w, p.h, render.RenderingOf(s))
	out.Predicted = planned(layers, p.w, p.h)
	out.ends()
	return out, layers
}

// Test holds a photograph against the predicted picture. x is what the file says of its exposure;
// zero: the plan's settings are taken. by, where not nil, is a mark, in this frame or in an
// earlier one of the same setup: then the place is tracked from that frame to this one. step,
// where not nil, is told how far it is. The error is ctx's, where it ended the work.
func (p *FramePlan) Test(ctx context.Context, img image.Image, x photo.Exif, by *FrameMark,
	step func(done, of int)) (*FrameTest, error) {
	s := p.stage
	out, layers := p.exposed(img, x)
	fit, err := testframe.Fit(ctx, out.Photo, layers, testframe.Work{Near: p.tracked(out, by), Step: step})
	if err != nil {
		return nil, err
	}
	out.Shift, out.Roll = [2]float64{fit.Shift.X, fit.Shift.Y}, fit.Shift.Roll
	out.White, out.Rest = fit.Whiteness(), fit.Rest
	for l := range layers {
		plan := "on"
		if layers[l].Off {
			plan = "off"
		}
		out.Lights = append(out.Lights, FrameLight{layers[l].Name, math.Log2(max(fit.Weight[l], 1.0/256)),
			fit.Share[l] * fit.Weight[l], fit.Noise[l], plan})
	}
	for _, c := range fit.Causes(layers) {
		out.Causes = append(out.Causes, FrameCause{c.Light, c.Words, c.Stops, c.Chance})
	}
	if words := insteadOf(fit.Instead()); words != "" && len(out.Causes) > 0 {
		out.Notes = append(out.Notes, "it may be instead: "+words)
	} else if words != "" {
		out.Notes = append(out.Notes, "the frame does not tell whether all is as planned; it may be: "+words)
	}
	out.spots(s, fit.Shift)
	if fit.Rest > 0.35 {
		out.Notes = append(out.Notes, "much of the photograph is not explained by the plan: is it of this setup?")
	}
	return out, nil
}

// insteadOf puts other explanations into words.
func insteadOf(list []testframe.Cause) string {
	var words []string
	for _, x := range list {
		w := x.Words
		if x.Light != "" {
			w = x.Light + ": " + w
		}
		words = append(words, fmt.Sprintf("%s (%.0f in 100)", w, 100*x.Chance))
	}
	return strings.Join(words, "; ")
}

// tracked is where a frame lies by a mark; nil: no mark says that.
func (p *FramePlan) tracked(t *FrameTest, by *FrameMark) *testframe.Shift {
	if by == nil {
		return nil
	}
	at := testframe.Shift{X: by.Shift[0], Y: by.Shift[1]}
	if by.In != nil {
		d, alike := testframe.Between(linear(by.In, p.w, p.h, render.RenderingOf(p.stage)), t.Photo)
		if alike < testframe.Alike {
			t.Notes = append(t.Notes,
				"the frame in which a point was marked looks otherwise: its place is not taken over")
			return nil
		}
		at.X, at.Y = at.X+d.X, at.Y+d.Y
	}
	t.ByMark = true
	return &at
}

// allOn is the shoot with all lights of the house on; off names those that are planned to be off.
func (j *Job) allOn(setup int) (*Job, map[string]bool) {
	off := map[string]bool{}
	f := *j.File
	f.Setups = slices.Clone(f.Setups)
	f.Room.Practicals = slices.Clone(f.Room.Practicals)
	s := &f.Setups[setup]
	named := func(j *Job) *stage.Stage { // of which only the names of its lights are asked
		st, _ := stage.Build(j.File, j.Doc, setup, stage.Options{Files: j.Files, Empty: true})
		return st
	}
	st := named(j)
	on := map[string]bool{}
	if st != nil {
		for _, l := range st.Layers {
			on[l.Name] = true
		}
	}
	s.Off = nil
	for i := range f.Room.Practicals {
		f.Room.Practicals[i].Off = false
	}
	all := &Job{File: &f, Doc: j.Doc, Files: j.Files}
	if st := named(all); st != nil {
		for _, l := range st.Layers {
			off[l.Name] = !on[l.Name]
		}
	}
	return all, off
}

// withoutGels is the same picture with no gel on any head; nil where no head has one or that cannot
// be built.
func (j *Job) withoutGels(f *render.Frame) *render.Frame {
	setup := f.Stage.Index
	if !slices.ContainsFunc(f.Stage.Setup.Lights, func(l shoot.Light) bool { return len(l.Gel) > 0 }) {
		return nil
	}
	file := *f.Stage.Shoot
	file.Setups = slices.Clone(file.Setups)
	s := &file.Setups[setup]
	s.Lights = slices.Clone(s.Lights)
	for i := range s.Lights {
		s.Lights[i].Gel = nil
	}
	st, _ := stage.Build(&file, j.Doc, setup, stage.Options{Files: j.Files, Empty: true})
	if st == nil || len(st.Layers) != len(f.Stage.Layers) {
		return nil
	}
	mix := f.Mix
	mix.Folds, mix.Weight = slices.Clone(mix.Folds), slices.Clone(mix.Weight)
	for l := range st.Layers {
		mix.Folds[l] = st.Layers[l].Fold
		// The light was traced at what the head gives with its gel.
		mix.Weight[l] *= st.Layers[l].Full() / f.Stage.Layers[l].Full()
	}
	return f.Reweighed(f.Stage, mix)
}

// developed is light under the camera's white, in linear sRGB.
func developed(px []spectrum.XYZ, s *stage.Stage, w, h int) testframe.Image {
	adapt := spectrum.CAT16(s.White, spectrum.SRGB.XYZ([3]float64{1, 1, 1}))
	out := testframe.Image{W: w, H: h, RGB: make([][3]float64, len(px))}
	for i, p := range px {
		out.RGB[i] = spectrum.SRGB.Linear(adapt.XYZ(p))
	}
	return out
}

// linear takes a photograph back to linear light at a small size: mean values of its pixels,
// through the tone curve. Where most of them clip the place is over all that can be told. Where
// some do (a glint, the edge of a lamp) their mean is what is there at the least, and it is not
// known by how much more: by about what the clipped ones gave (censored values, Tobin 1958).
func linear(img image.Image, w, h int, r picture.Rendering) *testframe.Image {
	out := &testframe.Image{W: w, H: h, RGB: make([][3]float64, w*h), SD: make([]float64, w*h)}
	b := img.Bounds()
	for y := range h {
		for x := range w {
			x0, x1 := b.Min.X+x*b.Dx()/w, b.Min.X+max(x*b.Dx()/w+1, (x+1)*b.Dx()/w)
			y0, y1 := b.Min.Y+y*b.Dy()/h, b.Min.Y+max(y*b.Dy()/h+1, (y+1)*b.Dy()/h)
			stepX, stepY := max(1, (x1-x0)/8), max(1, (y1-y0)/8)
			var sum [3]float64
			n, clipped := 0.0, 0.0
			for j := y0; j < y1; j += stepY {
				for i := x0; i < x1; i += stepX {
					cr, cg, cb, _ := img.At(i, j).RGBA()
					v := [3]float64{photo.Linear(float64(cr) / 257), photo.Linear(float64(cg) / 257),
						photo.Linear(float64(cb) / 257)}
					top := max(0.2126*v[0]+0.7152*v[1]+0.0722*v[2], v[0], v[1], v[2])
					if top > 0.985 {
						clipped++
					}
					k := 1.0
					if top > 0 {
						k = r.Scene(top) / top
					}
					for c := range v {
						sum[c] += v[c] * k
					}
					n++
				}
			}
			for c := range sum {
				out.RGB[y*w+x][c] = sum[c] / n
				if clipped > n/2 { // how bright it was is not known
					out.RGB[y*w+x][c] = 2 * picture.Clipped
				}
			}
			out.SD[y*w+x] = clipped / n * picture.Clipped
		}
	}
	return out
}

// veiled is a light's picture with the share of it that a lens lays over all of the frame.
func veiled(m testframe.Image, glare float64) testframe.Image {
	var mean [3]float64
	for _, p := range m.RGB {
		for c := range p {
			mean[c] += p[c] / float64(len(m.RGB))
		}
	}
	out := m.Times(1 - glare)
	for i := range out.RGB {
		for c := range mean {
			out.RGB[i][c] += glare * mean[c]
		}
	}
	return out
}

// planned adds up the lights that are planned to be on.
func planned(layers []testframe.Layer, w, h int) *testframe.Image {
	out := &testframe.Image{W: w, H: h, RGB: make([][3]float64, w*h)}
	for l := range layers {
		if layers[l].Off {
			continue
		}
		for i, p := range layers[l].RGB {
			for c := range p {
				out.RGB[i][c] += p[c]
			}
		}
	}
	return out
}

// spots reads the points of the setup in photograph and prediction.
func (t *FrameTest) spots(s *stage.Stage, by testframe.Shift) {
	for _, p := range s.Points {
		x, y, _, ok := s.View.Project(p.At)
		if p.Seen == nil || !ok || x < 0 || x > 1 || y < 0 || y > 1 {
			continue
		}
		spot := FrameTestSpot{Name: p.Name, X: x + by.X, Y: y + by.Y}
		want, _ := t.Predicted.Mean(x, y)
		got, clipped := t.Photo.Mean(spot.X, spot.Y)
		spot.Out = spot.X < 0.01 || spot.X > 0.99 || spot.Y < 0.01 || spot.Y > 0.99
		spot.Clip = clipped
		lum := func(v [3]float64) float64 { return max(1e-5, 0.2126*v[0]+0.7152*v[1]+0.0722*v[2]) }
		spot.Stops, spot.Off = math.Log2(lum(got)/0.18), math.Log2(lum(got)/lum(want))
		spot.DUV = spectrum.DeltaUVPrime(spectrum.SRGB.XYZ(got).XY(), spectrum.SRGB.XYZ(want).XY())
		spot.Below = lum(want) < 0.18/64
		t.Points = append(t.Points, spot)
	}
}

// ends counts what the photograph has at the ends of its range.
func (t *FrameTest) ends() {
	for _, p := range t.Photo.RGB {
		switch top := max(p[0], p[1], p[2]); {
		case top > picture.Clipped*0.95:
			t.Clipped++
		case top < 0.18/128:
			t.Floor++
		}
	}
	n := float64(len(t.Photo.RGB))
	t.Clipped, t.Floor = t.Clipped/n, t.Floor/n
}

// Pictures draws photograph, prediction and the photograph over the prediction in stops, small as
// they were compared.
func (t *FrameTest) Pictures() (photographed, predicted, difference image.Image) {
	of := func(m *testframe.Image) []spectrum.XYZ {
		out := make([]spectrum.XYZ, len(m.RGB))
		for i, p := range m.RGB {
			out[i] = spectrum.SRGB.XYZ(p)
		}
		return out
	}
	a, b := of(t.Photo), of(t.Predicted)
	white := spectrum.SRGB.XYZ([3]float64{1, 1, 1})
	show := func(px []spectrum.XYZ) image.Image {
		return picture.Develop(px, t.Photo.W, t.Photo.H, white, spectrum.SRGB, picture.Standard(0))
	}
	return show(a), show(b), picture.Difference(b, a, t.Photo.W, t.Photo.H)
}

// Adjusted is the same prediction with lights changed by so many stops, by name, and with another
// standard deviation of their levels, stops: as they were dialled and as readings have them. A
// light that is not named stays as it is.
func (p *FramePlan) Adjusted(stops, sd map[string]float64) *FramePlan {
	out := *p
	out.layers = slices.Clone(p.layers)
	for l := range out.layers {
		y := &out.layers[l]
		if by := stops[y.Name]; by != 0 {
			k := math.Exp2(by)
			y.Image = y.Times(k)
			if y.Bare != nil {
				m := y.Bare.Times(k)
				y.Bare = &m
			}
		}
		if s, ok := sd[y.Name]; ok && s > 0 {
			y.SD = s
		}
	}
	return &out
}

// FrameCandidates are the setups of a list that a photograph may be of, by the settings in its
// file: those whose shutter, aperture and ISO are within a third of a stop, else all with a camera.
func (j *Job) FrameCandidates(setups []int, x photo.Exif) []int {
	var all, near []int
	for _, i := range setups {
		c := j.File.Setups[i].Camera
		if c == nil {
			continue
		}
		all = append(all, i)
		off := func(a, b float64) float64 { return math.Abs(math.Log2(a / b)) }
		if x.Complete() && 2*off(x.FNumber, float64(c.Aperture)) < 0.34 && off(x.Shutter,
			float64(c.Shutter)) < 0.34 &&
			off(x.ISO, float64(c.ISO)) < 0.34 {
			near = append(near, i)
		}
	}
	if len(near) > 0 {
		return near
	}
	return all
}
