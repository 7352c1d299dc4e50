package server

import (
	"math"
	"net/http"

	"halfstop/kind"
	"halfstop/material"
	"halfstop/spectrum"
	"halfstop/stage"
)

// PlaceView is what a place can be furnished and painted with.
type PlaceView struct {
	Things   []ThingView   `json:"things" doc:"real things with usual sizes"`
	Surfaces []SurfaceView `json:"surfaces" doc:"by name, in the order of the table"`
	Under    string        `json:"under" doc:"the light that the surfaces are shown under; empty: daylight of 5500 K"`
}

// ThingView is one kind of furniture, or a small thing.
type ThingView struct {
	Kind    string     `json:"kind"`
	Says    string     `json:"says"`
	Size    [3]float64 `json:"size" doc:"a usual one: along its front, to its back, high"`
	Surface string     `json:"surface" doc:"a usual one"`
}

// SurfaceView is a surface as the camera shows it: under that light, after white balance, mid-grey
// of 18 % at 0.18.
type SurfaceView struct {
	Name        string     `json:"name"`
	Linear      [3]float64 `json:"linear" doc:"linear sRGB; may lie outside 0 to 1"`
	Reflectance float64    `json:"reflectance" doc:"luminous, under that light"`
}

// whitest is the layer whose colour is nearest to what the camera takes for white: surfaces are
// told apart under it, and not under a red sign. nil: no light.
func whitest(st *stage.Stage) (best *stage.Layer) {
	far := math.Inf(1)
	for i := range st.Layers {
		x := st.Layers[i].Spectrum.XYZ()
		if x.Y <= 0 {
			continue
		}
		if d := spectrum.DeltaUVPrime(x.XY(), st.White.XY()); d < far {
			best, far = &st.Layers[i], d
		}
	}
	return best
}

func (s *Server) getPlace(w http.ResponseWriter, r *http.Request) error {
	m, h, err := s.setup(r)
	if err != nil {
		return err
	}
	v := PlaceView{Things: []ThingView{}, Surfaces: []SurfaceView{}}
	for _, o := range kind.Objects() {
		v.Things = append(v.Things, ThingView{o.Word, o.Says, o.Size, o.Surface})
	}
	light := spectrum.Daylight(5500)
	white := light.XYZ()
	if st, _ := s.engine.current(m, h); st != nil {
		if l := whitest(st); l != nil {
			light, v.Under, white = l.Spectrum, l.Name, st.White
		}
	}
	full := light.XYZ().Y
	to := spectrum.CAT16(white, spectrum.SRGB.XYZ([3]float64{1, 1, 1}))
	for _, name := range material.Presets() {
		p, err := material.Preset(name)
		if err != nil {
			continue
		}
		x := light.Mul(p.Total()).XYZ()
		x = spectrum.XYZ{X: x.X / full, Y: x.Y / full, Z: x.Z / full}
		v.Surfaces = append(v.Surfaces, SurfaceView{name, spectrum.SRGB.Linear(to.XYZ(x)), x.Y})
	}
	return give(w, v)
}

// TreadView is one tread of a flight of steps.
type TreadView struct {
	Foot [][2]float64 `json:"foot" doc:"outline seen from above"`
	High float64      `json:"high" doc:"metres over the floor of the room"`
}
