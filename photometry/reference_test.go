package photometry

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"math"
)

// What the tests hold the room's own code against.

// BeamAngle returns the full angle in degrees between the directions at which the intensity has
// fallen to share of the largest (0.5: beam, 0.1: field), in the plane through C = c degrees: the
// sum of the angles on both sides of N, each counted to the last direction that still reaches it. 0
// for a dark web; at most 360. Check: TestBeamAngle.
func (w *Web) BeamAngle(c, share float64) float64 {
	want := share * w.grid.peak
	if !(want > 0) {
		return 0
	}
	sum := 0.0
	for _, turn := range []float64{c, c + 180} {
		at := func(gamma float64) float64 { return w.Candela(Direction(gamma, turn)) }
		last := 0.0
		const step = 0.25
		for g := 180.0; g > 0; g -= step {
			if at(g-step) < want {
				continue
			}
			// Crossed within this step, or the beam reaches round to the back.
			lo, hi := g-step, g
			if at(hi) >= want {
				last = hi
				break
			}
			for range 40 {
				if m := (lo + hi) / 2; at(m) >= want {
					lo = m
				} else {
					hi = m
				}
			}
			last = lo
			break
		}
		sum += last
	}
	return sum
}

// Cone makes a sharp-edged cone of even intensity cd within half degrees of the axis (0 < half <
// 180). Check: B11.3.
func Cone(cd, half float64) *Web {
	edge := math.Nextafter(half, 0)
	w, err := New(TypeC, []float64{0, edge, half}, []float64{0}, [][]float64{{cd, cd, 0}})
	if err != nil {
		panic("photometry: " + err.Error())
	}
	return w
}

// WriteTM27 writes a spectrum as TM-27 XML. Check: TestSpectral.
func WriteTM27(s *Spectral) []byte {
	var b bytes.Buffer
	esc := func(x string) string {
		var e bytes.Buffer
		if xml.EscapeText(&e, []byte(x)) != nil {
			return ""
		}
		return e.String()
	}
	quantity := s.Quantity
	if quantity == "" {
		quantity = "relative"
	}
	fmt.Fprintf(&b,
		"%s<IESTM2714 xmlns=\"http://www.ies.org/iestm2714\" "+
			"version=\"1.0\">\n\t<Header>\n\t\t<Description>%s</Description>\n\t</Header>\n", xml.Header, esc(s.Name))
	fmt.Fprintf(&b, "\t<SpectralDistribution>\n\t\t<SpectralQuantity>%s</SpectralQuantity>\n", esc(quantity))
	for _, p := range s.Pairs {
		fmt.Fprintf(&b, "\t\t<SpectralData wavelength=\"%s\">%s</SpectralData>\n", digits(p[0]), digits(p[1]))
	}
	b.WriteString("\t</SpectralDistribution>\n</IESTM2714>\n")
	return b.Bytes()
}

// ZonalFlux returns the flux in lumens by zonal constants: each pair of neighbouring vertical
// angles is a zone with the mean of its two ends. It is what hand calculation does, for comparison
// only; type C. Check: TestZonalFlux (J2.2: 314.159 lm).
func (w *Web) ZonalFlux() float64 {
	g := &w.grid
	sum := 0.0
	for i := 0; i+1 < len(g.phi); i++ {
		dphi := g.phi[i+1] - g.phi[i]
		for j := 0; j+1 < len(g.theta); j++ {
			mean := (g.cd[i][j] + g.cd[i][j+1] + g.cd[i+1][j] + g.cd[i+1][j+1]) / 4
			sum += dphi * (math.Cos(g.theta[j]) - math.Cos(g.theta[j+1])) * mean
		}
	}
	return sum
}
