package meter

import (
	"math"

	"halfstop/geom"
	"halfstop/optics"
	q "halfstop/quantity"
	"halfstop/stage"
)

// LightFacts is what follows for people from where a light stands.
type LightFacts struct {
	Name       string
	Distance   q.Metres // from its face to the sitter's face
	Pattern    optics.Pattern
	Catchlight *optics.Catchlight // in the nearer eye; nil where the camera sees none
	Covers     q.Degrees          // the angle it covers, seen from the face
	Penumbra   q.Metres           // of the nose's shadow
	Softness   string
}

// Facts is what follows for the picture as a whole.
type Facts struct {
	Lights []LightFacts
	// Ratio is of the key's own light on the key side to everything on the shadow side; nil where there is no key or no sitter.
	Ratio *optics.Ratio

	Distance   q.Metres    // camera to the near eye
	Near, Far  q.Metres    // what is sharp; Far may be +Inf
	Background q.Metres    // distance of what lies behind the sitter on the axis, 0 for nothing
	Blur       q.Metres    // of that background on the sensor
	BlurShare  float64     // the same as a share of the picture's height
	Framed     [2]q.Metres // width and height of what is framed at the sitter

	Clip, Floor q.Stops // ends of the sensor's range, to mid-grey; Floor at a signal of 1 to 1 noise
	Clean       q.Stops // where signal is ten times noise
	Lit         float64 // share of the frame that the flash reaches; under 1 beyond sync speed
	Flicker     []Flicker
}

// Flicker is what a mains light does at this shutter.
type Flicker struct {
	Name    string
	Swing   q.Stops   // worst change from frame to frame, by the ripple of its kind
	Shorter q.Seconds // nearest safe times
	Longer  q.Seconds
}

// FactsOf derives the facts of a stage from its geometry and its readings.
func FactsOf(s *stage.Stage, cam Camera, readings []Reading) Facts {
	var f Facts
	f.Clip, f.Floor, f.Clean = cam.Sensor.Clip(cam.ISO), cam.Sensor.Floor(cam.ISO, 1), cam.Sensor.Floor(cam.ISO, 10)
	f.Lit = cam.Lit()
	for _, l := range s.Layers {
		ripple := q.Hertz(l.Flicker.Hertz)
		if ripple <= 0 || l.K == 0 {
			continue
		}
		if sw := optics.Swing(q.Share(l.Flicker.Ripple), ripple, cam.Shutter); sw > 0.05 {
			a, b := optics.SafeTimes(ripple, cam.Shutter)
			f.Flicker = append(f.Flicker, Flicker{l.Name, sw, a, b})
		}
	}
	if s.View != nil {
		v := s.View
		c := v.Format.Confusion()
		f.Distance = v.Focus
		f.Near, f.Far = optics.Sharp(v.Lens, cam.Aperture, c, v.Focus)
		f.Framed = [2]q.Metres{optics.Framed(v.Format.Width, v.Lens, v.Focus), optics.Framed(v.Format.Height, v.Lens, v.Focus)}
		if d := s.Behind(); d > float64(v.Focus) {
			f.Background = q.Metres(d)
			f.Blur = optics.Blur(v.Lens, cam.Aperture, v.Focus, f.Background)
			f.BlurShare = float64(f.Blur / v.Format.Height)
		}
	}
	if s.Sitter == nil {
		return f
	}
	face := s.Sitter.Landmarks["face"]
	camera := face.At.Add(face.Normal)
	up := geom.V(0, 0, 1)
	if s.View != nil {
		camera, up = s.View.Eye(), s.View.Up
	}
	eye := s.Sitter.Landmarks["eye left"]
	if r := s.Sitter.Landmarks["eye right"]; r.At.Sub(camera).Len2() < eye.At.Sub(camera).Len2() {
		eye = r
	}
	const corneaRadius = 0.0078 // textbook eye, from memory
	for _, l := range s.Layers {
		if len(l.Bodies) == 0 {
			continue
		}
		b := l.Bodies[0]
		lf := LightFacts{Name: l.Name, Distance: q.Metres(b.At.Sub(face.At).Len())}
		lf.Pattern = optics.PatternOf(face.At, face.Normal, b.At, camera)
		if c, ok := optics.CatchlightOf(eye.At.AddMul(eye.Normal, -corneaRadius), b.At, camera, up); ok {
			lf.Catchlight = &c
		}
		// The size it shows to the face: the mean of its two sides as the face sees them.
		w, h := b.Width, b.Height
		if b.Shape == "disc" || b.Shape == "sphere" {
			h = w
		}
		d := b.At.Sub(face.At).Unit()
		seen := func(axis geom.Vec, size float64) float64 {
			if b.Shape == "sphere" {
				return size
			}
			return size * math.Sqrt(max(0, 1-d.Dot(axis)*d.Dot(axis)))
		}
		size := q.Metres(math.Sqrt(seen(b.Frame.S, w) * seen(b.Frame.T, h)))
		if size > 0 {
			lf.Covers = optics.Covers(size, lf.Distance)
			lf.Penumbra = optics.Penumbra(optics.NoseGap, size, lf.Distance)
			lf.Softness = optics.Softness(size, lf.Distance)
		} else {
			lf.Softness = "hard"
		}
		f.Lights = append(f.Lights, lf)
	}
	var lit, shade q.LuxSeconds
	for _, r := range readings {
		switch r.Name {
		case "face key side":
			lit = q.LuxSeconds(r.Exposure)
		case "face shadow side":
			shade = q.LuxSeconds(r.Exposure)
		}
	}
	if r, ok := optics.RatioOfSides(lit, shade); ok {
		f.Ratio = &r
	}
	return f
}
