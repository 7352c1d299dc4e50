package optics

import (
	"math"
	"strconv"
	"strings"

	q "halfstop/quantity"
)

// Format is a sensor's size, landscape.
type Format struct{ Width, Height q.Metres }

// FullFrame is 36 by 24 mm.
var FullFrame = Format{0.036, 0.024}

// formats are nominal sizes in mm; makers differ by some tenths (common practice, no source).
var formats = map[string]Format{
	"full frame":   FullFrame,
	"crop 1.5":     {0.0236, 0.0157},
	"crop 1.6":     {0.0223, 0.0149},
	"medium 44x33": {0.044, 0.033},
}

// ParseFormat reads 'full frame', 'crop 1.5', 'crop 1.6', 'medium 44x33' or 'WIDTHxHEIGHT mm'; ok
// is false for anything else and for sizes outside 1 to 300 mm. Empty is full frame. Case does not
// matter, × is x, and the longer side is the width.
func ParseFormat(s string) (f Format, ok bool) {
	s = strings.Join(strings.Fields(strings.ToLower(strings.ReplaceAll(s, "×", "x"))), " ")
	if s == "" {
		return FullFrame, true
	}
	if f, ok = formats[s]; ok {
		return f, true
	}
	a, b, found := strings.Cut(strings.TrimSuffix(s, "mm"), "x")
	w, err1 := strconv.ParseFloat(strings.TrimSpace(a), 64)
	h, err2 := strconv.ParseFloat(strings.TrimSpace(b), 64)
	if !found || err1 != nil || err2 != nil || !(w >= 1 && w <= 300 && h >= 1 && h <= 300) {
		return Format{}, false
	}
	return Format{q.Metres(max(w, h) / 1000), q.Metres(min(w, h) / 1000)}, true
}

// Upright returns the format turned to portrait orientation.
func (f Format) Upright() Format { return Format{f.Height, f.Width} }

// Diagonal returns the sensor's diagonal.
func (f Format) Diagonal() q.Metres { return q.Metres(math.Hypot(float64(f.Width), float64(f.Height))) }

// Crop returns the crop factor against 36 by 24 mm. Check: H3.1.
func (f Format) Crop() float64 { return over(float64(FullFrame.Diagonal()), float64(f.Diagonal())) }

// Confusion returns the blur disc that still passes for sharp: 0.030 mm on 36 by 24, by the
// diagonal elsewhere (common practice, no source).
func (f Format) Confusion() q.Metres { return q.Metres(0.030e-3 * over(1, f.Crop())) }

// Framed returns how wide a piece of the subject plane at distance s a sensor of size d takes in:
// d·(s-f)/f (thin lens). 0 inside the focal length. Check: H3.2.
func Framed(d, f, s q.Metres) q.Metres {
	return q.Metres(max(0, over(float64(d)*float64(s-f), float64(f))))
}

// Hyperfocal returns f²/(N·c) + f. Check: H2.1, H2.2.
func Hyperfocal(f q.Metres, n q.FNumber, c q.Metres) q.Metres {
	return q.Metres(over(float64(f)*float64(f), float64(n)*float64(c))) + f
}

// Sharp returns the near and far limit of what is sharp enough when focused at s (+Inf is far
// away); far is +Inf from the hyperfocal distance on. Both are s when s is inside the focal length.
// Check: H2.3–H2.5.
func Sharp(f q.Metres, n q.FNumber, c, s q.Metres) (near, far q.Metres) {
	h := Hyperfocal(f, n, c)
	if !(s > f) {
		return s, s
	}
	// divided through by s, so that s may be +Inf
	near = (h - f) / (1 + (h-2*f)/s)
	if s >= h {
		return near, q.Metres(math.Inf(1))
	}
	return near, (h - f) / (h/s - 1)
}

// Blur returns the diameter on the sensor of the blur disc of a point at x when focused at s: f²/N
// · |x-s| / (x·(s-f)); either may be +Inf. 0 where that has no meaning (x or s inside the focal
// length). Check: H2.6–H2.8.
func Blur(f q.Metres, n q.FNumber, s, x q.Metres) q.Metres {
	if !(x > f && s > f && n > 0 && f > 0) {
		return 0
	}
	// |x-s| / (x·(s-f)), divided through by x·s so that both may be +Inf
	rel := math.Abs(1/float64(s)-1/float64(x)) / (1 - float64(f/s))
	return q.Metres(float64(f) * float64(f) / float64(n) * rel)
}
