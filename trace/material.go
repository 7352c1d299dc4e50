package trace

import (
	"fmt"
	"math"

	"halfstop/geom"
	"halfstop/sample"
)

// Material is what a surface does with light, the same seen from both sides unless Back says
// otherwise. Shares at each wavelength: Diffuse + Trans + Mirror + Clear may not pass 1 (Check). A
// glass pane (Glass > 0) reflects and passes by Fresnel's equations, Clear then being what the
// glass itself lets through at right angles.
type Material struct {
	Name      string
	Diffuse   Band    // Lambertian reflectance
	Trans     Band    // Lambertian transmittance to the other side
	Mirror    Band    // specular reflectance, sharp or (Alpha) spread
	Alpha     float64 // GGX alpha of the mirror part, 0 is a perfect mirror
	Clear     Band    // straight-through transmittance
	Coat      float64 // refractive index of a clear coat over the diffuse part, 0 is none
	CoatAlpha float64 // GGX alpha of the coat
	Glass     float64 // refractive index of a clear pane, 0 is none
	// hair: coat and mirror are sheens along the strand, see
	// strand.go; Alpha and CoatAlpha are those along it
	Strand bool
	Back   *Material
	// Second, where not zero, is a factor of Diffuse and Trans by wavelength that a mesh's tone
	// blends in: tone 0 is none of it, 1 all (lips). Without it the tone itself is the factor.
	Second Band
	// Texture, where not nil, is a factor of Diffuse and Trans at a place p of a face with normal n
	// (scene frame, metres). Its mean should be 1; it is held to 0 and to what keeps the sum of
	// shares at 1. It must be safe to call from many goroutines.
	Texture func(p, n geom.Vec) float32
	// Pattern is the number of Texture in texture.wgsl of the page's own tracer; 0: it has none.
	Pattern int

	id                   int     // number in its scene, the same for both its sides and its blunt stand-in
	maxTexture           float32 // of Texture
	hasSecond            bool
	regularised          *Material // the same with its coat no sharper than bluntAlpha
	mirrorLobe, coatLobe *lobe
	coatSheen, backSheen *sheen // of a strand: off the outside, and from within
	wideCoatLobe         *lobe  // of a blunt stand-in, whose coatLobe is still that of the coat it stands for
	hasDiffuse, hasTrans bool
	hasMirror, hasClear  bool
	delta                bool // nothing but mirror or clear: no diffuse or glossy part
}

// Check reports a share over 1 or below 0, not a number, or a roughness out of range.
func (m *Material) Check() error {
	for b := range Bands {
		s := float64(m.Diffuse[b]) + float64(m.Trans[b]) + float64(m.Mirror[b])
		if m.Glass == 0 {
			s += float64(m.Clear[b])
		}
		for _, v := range []float32{m.Diffuse[b], m.Trans[b], m.Mirror[b], m.Clear[b]} {
			if !(v >= 0 && v <= 1) {
				return fmt.Errorf("surface %q: a share of %v is not between 0 and 1", m.Name, v)
			}
		}
		if s > 1+1e-5 {
			return fmt.Errorf("surface %q: reflectance and transmittance sum to %.3f, over 1", m.Name, s)
		}
	}
	if !(m.Alpha >= 0 && m.Alpha <= 1) || !(m.CoatAlpha >= 0 && m.CoatAlpha <= 1) {
		return fmt.Errorf("surface %q: roughness outside 0 to 1", m.Name)
	}
	if m.Coat != 0 && !(m.Coat >= 1 && m.Coat <= 3) || m.Glass != 0 && !(m.Glass >= 1 && m.Glass <= 3) {
		return fmt.Errorf("surface %q: refractive index outside 1 to 3", m.Name)
	}
	if m.Back != nil {
		return m.Back.Check()
	}
	return nil
}

// minAlpha keeps rough lobes finite; below it a lobe is a mirror.
const minAlpha = 0.005

// bluntAlpha is the sharpest coat that a path meets after it has left a receptor or the first
// surface in view. A sharper one would throw small bright images of lamps that paths find once in
// thousands; blunted it sends back the same light, spread over some 15° more. Source: Kaplanyan and
// Dachsbacher 2013, path space regularisation. Check: TestBluntCoat.
const regularisedAlpha = 0.25

func (m *Material) prepare() {
	m.hasSecond, m.maxTexture = maxBand(&m.Second) > 0, m.headroom()
	m.hasDiffuse, m.hasTrans = maxBand(&m.Diffuse) > 0, maxBand(&m.Trans) > 0
	m.hasMirror, m.hasClear = maxBand(&m.Mirror) > 0, maxBand(&m.Clear) > 0 || m.Glass > 0
	if m.Alpha < minAlpha {
		m.Alpha = 0
	}
	if m.hasMirror && m.Alpha > 0 {
		m.mirrorLobe = lobeOf(m.Alpha, nil)
	}
	if m.Coat > 0 {
		m.CoatAlpha = max(m.CoatAlpha, minAlpha)
		m.coatLobe = lobeOf(m.CoatAlpha, func(c float64) float64 { return fresnelDielectric(c, m.Coat) })
	}
	if m.Strand {
		m.prepareStrand()
	}
	m.regularised = m
	if m.Coat > 0 && m.CoatAlpha < regularisedAlpha && !m.Strand {
		b := *m
		b.CoatAlpha, b.Back = regularisedAlpha, nil
		b.prepare()
		b.wideCoatLobe, b.coatLobe = b.coatLobe, m.coatLobe // as much light as before, only wider
		m.regularised = &b
	}
	m.delta = !m.hasDiffuse && !m.hasTrans && m.Coat == 0 && (m.Alpha == 0 || !m.hasMirror)
	if m.Back != nil {
		m.Back.id = m.id | 1<<15
		m.Back.prepare()
	}
}

// surfacePoint is where a path meets a surface. wo points back along the path; n is on wo's side.
type surfacePoint struct {
	p     geom.Vec
	ng, n geom.Vec // geometric and shading normal, both on wo's side
	frame geom.Frame
	wo    geom.Vec
	m     *Material
	alb   Band // tint of the surface here (texture, tone): multiplies Diffuse and Trans
	tint  bool
	coatO float64 // coat albedo towards wo
	cosO  float64
	// coatOnly says that the rest of what the surface scatters is accounted for.
	coatOnly bool
}

// ready fills what depends on wo.
func (s *surfacePoint) prepare() {
	s.cosO = max(1e-4, s.wo.Dot(s.n))
	if s.m.Coat > 0 {
		s.coatO = s.coatE(s.wo, s.cosO)
	}
}

// eval writes the spread part of the BSDF times |cos| for light arriving from wi (pointing away
// from the surface) and returns the density that sampleSpread gives that direction. Perfect mirrors
// and straight-through light are not in it.
func (s *surfacePoint) eval(wi geom.Vec, f *Band) (pdf float64) {
	m := s.m
	*f = Band{}
	cosI := wi.Dot(s.n)
	if wi.Dot(s.ng) < 0 { // other side: diffuse transmission
		if !m.hasTrans || cosI >= 0 || s.coatOnly {
			return 0
		}
		k := float32(-cosI / math.Pi)
		if m.Coat > 0 {
			k *= float32((1 - s.coatO) * (1 - m.coatLobe.at(-cosI)) / (1 - m.coatLobe.avg))
		}
		for b := range f {
			f[b] = m.Trans[b] * k
		}
		if s.tint {
			mulBand(f, &s.alb)
		}
		return s.probs().trans * -cosI / math.Pi
	}
	if cosI <= 0 {
		return 0
	}
	if s.coatOnly {
		return s.evalCoat(wi, cosI, 1, f)
	}
	pr := s.probs()
	coatI := 0.0
	if m.Coat > 0 {
		coatI = s.coatE(wi, cosI)
	}
	// Lambertian part, under a coat by the albedo scaling of Kelemen and Szirmay-Kalos (2001):
	// reciprocal, no energy made.
	k := cosI / math.Pi
	if m.hasDiffuse {
		kd := k
		if m.Coat > 0 {
			kd *= (1 - s.coatO) * (1 - coatI) / (1 - m.coatLobe.avg)
		}
		for b := range f {
			f[b] = m.Diffuse[b] * float32(kd)
		}
		if s.tint {
			mulBand(f, &s.alb)
		}
	}
	pdf = pr.diffuse * k
	under := 1.0 // what a coat leaves for a mirror below it, in and out; what is caught between the two is lost
	if m.Coat > 0 && m.hasMirror {
		under = (1 - s.coatO) * (1 - coatI)
	}
	if m.Strand {
		return pdf + s.evalStrand(wi, pr, under, f)
	}
	if m.Coat > 0 {
		pdf += s.evalCoat(wi, cosI, pr.coat, f)
	}
	if m.hasMirror && m.Alpha > 0 {
		h := wi.Add(s.wo).Unit()
		cosH, oh := h.Dot(s.n), h.Dot(s.wo)
		if cosH > 0 && oh > 0 {
			d, g1 := sample.GGXD(cosH, m.Alpha), ggxG1(s.cosO, m.Alpha)
			v := float32(under * d * ggxG2(s.cosO, cosI, m.Alpha) / (4 * s.cosO))
			for b := range f {
				f[b] += m.Mirror[b] * v
			}
			pdf += pr.mirror * g1 * d / (4 * s.cosO)
		}
		// What single scattering loses comes back spread (Kulla and Conty 2017), so that a
		// white furnace stays white.
		lost := (1 - m.mirrorLobe.at(s.cosO)) * (1 - m.mirrorLobe.at(cosI))
		ms := float32(lost / (math.Pi * (1 - m.mirrorLobe.avg)) * cosI * under)
		for b := range f {
			f[b] += m.Mirror[b] * ms
		}
	}
	return pdf
}

// evalCoat adds the coat's reflection of light from wi, whose cosine is cosI, to f and returns the
// density of its sampling, which is drawn from with probability prob.
func (s *surfacePoint) evalCoat(wi geom.Vec, cosI, prob float64, f *Band) (pdf float64) {
	m := s.m
	h := wi.Add(s.wo).Unit()
	cosH, oh := h.Dot(s.n), h.Dot(s.wo)
	if cosH <= 0 || oh <= 0 {
		return 0
	}
	d, g1 := sample.GGXD(cosH, m.CoatAlpha), ggxG1(s.cosO, m.CoatAlpha)
	v := float32(fresnelDielectric(oh, m.Coat) * d * ggxG2(s.cosO, cosI, m.CoatAlpha) / (4 * s.cosO))
	if m.wideCoatLobe != nil {
		v *= float32(s.coatO / m.wideCoatLobe.at(s.cosO))
	}
	for b := range f {
		f[b] += v
	}
	return prob * g1 * d / (4 * s.cosO)
}

// shares of the spread lobes that sampleSpread draws from; they sum to 1, or all are 0 where there
// is no spread part.
type lobeShares struct{ diffuse, trans, coat, mirror float64 }

func (s *surfacePoint) probs() (p lobeShares) {
	m := s.m
	if s.coatOnly {
		return lobeShares{coat: 1}
	}
	if m.hasDiffuse {
		p.diffuse = float64(meanBand(&m.Diffuse))
	}
	if m.hasTrans {
		p.trans = float64(meanBand(&m.Trans))
	}
	if m.Coat > 0 {
		p.diffuse *= 1 - s.coatO
		p.coat = max(s.coatO, 0.12)
	}
	if m.hasMirror && m.Alpha > 0 {
		e := s.mirrorE(s.wo, s.cosO)
		w := float64(meanBand(&m.Mirror))
		p.mirror = w * e
		p.diffuse += w * (1 - e)
	}
	t := p.diffuse + p.trans + p.coat + p.mirror
	if t == 0 {
		return
	}
	p.diffuse /= t
	p.trans /= t
	p.coat /= t
	p.mirror /= t
	return
}

// sampleSpread draws a direction from the spread lobes; pick chooses the lobe, u and v the
// direction in it.
func (s *surfacePoint) sampleSpread(pick, u, v float64) (wi geom.Vec, ok bool) {
	p := s.probs()
	switch {
	case pick < p.diffuse:
		c := sample.Cosine(u, v)
		wi = s.frame.Out(c.X, c.Y, c.Z)
	case pick < p.diffuse+p.trans:
		c := sample.Cosine(u, v)
		wi = s.frame.Out(c.X, c.Y, -c.Z)
	case s.m.Strand:
		l := s.m.backSheen
		if pick < p.diffuse+p.trans+p.coat {
			l = s.m.coatSheen
		}
		if l == nil {
			return wi, false
		}
		w := l.sample(s.frame.In(s.wo), u, v)
		wi = s.frame.Out(w.X, w.Y, w.Z)
	default:
		alpha := s.m.Alpha
		if pick < p.diffuse+p.trans+p.coat {
			alpha = s.m.CoatAlpha
		}
		o := s.frame.In(s.wo)
		o.Z = max(o.Z, 1e-4)
		h := sample.GGX(o.Unit(), alpha, u, v)
		hw := s.frame.Out(h.X, h.Y, h.Z)
		wi = hw.Mul(2 * s.wo.Dot(hw)).Sub(s.wo)
	}
	return wi, p != (lobeShares{})
}
