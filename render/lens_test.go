package render

import (
	"math"
	"testing"

	"halfstop/geom"
	"halfstop/meter"
	"halfstop/optics"
	"halfstop/quantity"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/stage"
	"halfstop/trace"
)

// TestFalloff holds the picture's corners to optics.Cos4 (check H4) and to the lens's rims, with a
// lens shifted up and to the side.
func TestFalloff(t *testing.T) {
	const w, h = 30, 20
	bare := trace.Lens{Width: 0.036, Height: 0.024, Image: 0.02, ShiftX: -0.003, ShiftY: 0.005}
	rimmed := bare
	rimmed.Radius, rimmed.Rim, rimmed.RimShift = 0.01, 0.011, 0.4
	for _, lens := range []trace.Lens{bare, rimmed} {
		px := make([]spectrum.XYZ, w*h)
		for i := range px {
			px[i] = spectrum.XYZ{X: 1, Y: 2, Z: 3}
		}
		falloff(px, w, h, &lens)
		least := 1.0
		for i, c := range px {
			u, v := (float64(i%w)+0.5)/w, (float64(i/w)+0.5)/h
			x, y := (u-0.5)*0.036-0.003, (0.5-v)*0.024+0.005
			open, most := lens.Vignetting(u, v), 1e-12
			if lens.Rim > 0 {
				most = 1e-3
			}
			least = min(least, open)
			want := open * math.Pow(math.Cos(math.Atan2(math.Hypot(x, y), 0.02)), 4)
			if math.Abs(c.X-want) > most || math.Abs(c.Y-2*want) > 2*most || math.Abs(c.Z-3*want) > 3*most {
				t.Fatalf("pixel %d: %v, not %g of 1, 2, 3", i, c, want)
			}
		}
		if lens.Rim > 0 && !(least < 0.9) {
			t.Error("the rims close nothing; the test looks past them")
		}
	}
}

// TestShiftedProjection: the lens sees a place where the view says that it lands, with the sensor
// shifted as well. The two are written apart: one for pictures, one for points and checks.
func TestShiftedProjection(t *testing.T) {
	v := &stage.View{View: optics.Look(geom.V(5.6, 2.5, 1.42), geom.V(3.4, 1.9, 1.5), optics.Format{Width: 0.024,
		Height: 0.036}, 0.05, 2.1), Set: &shoot.Camera{Shift: [2]quantity.Metres{-0.0024, 0.0031}}}
	s := &stage.Stage{View: v}
	lens := LensOf(s, meter.Camera{Aperture: 4})
	for _, p := range []geom.Vec{geom.V(3.4, 1.9, 1.5), geom.V(3.1, 2.2, 1.1), geom.V(0.1, 0.4, 1.8)} {
		x, y, _, ok := v.Project(p)
		if !ok {
			t.Fatalf("%v is behind the lens", p)
		}
		d := lens.Axis.Mul(lens.Image).AddMul(lens.Right, (x-0.5)*lens.Width+lens.ShiftX).
			AddMul(lens.Up, (0.5-y)*lens.Height+lens.ShiftY).Unit()
		if off := d.Cross(p.Sub(v.At).Unit()).Len(); off > 1e-9 { // rounding
			t.Errorf("%v lands at %.4f, %.4f, where the lens looks %.2g beside it", p, x, y, off)
		}
	}
}
