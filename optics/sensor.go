package optics

import (
	"math"

	q "halfstop/quantity"
)

// Fixed points of ISO 12232 on the scale of sensor exposure times sensitivity, lx·s. From memory,
// consistent with A4.5.
const (
	midGrey    = 10.0 // standard output sensitivity: code 118 of 255
	saturation = 78.0 // saturation speed
)

// BaseISO is the sensitivity at which a full well meets saturation, where a camera does not say.
const BaseISO q.ISO = 100

// SensorExposure returns what reaches the sensor from a luminance over a time: H = q·L·t/N². 0 when
// n is not above zero. Source: ISO 12232. Check: A4.2, A4.8.
func SensorExposure(lt q.LuminanceSeconds, n q.FNumber, lensFactor float64) q.LuxSeconds {
	return q.LuxSeconds(over(lensFactor*float64(lt), float64(n)*float64(n)))
}

// Level returns where a sensor exposure lands in the picture, in stops to mid-grey (10/S). Minus
// infinity in the dark. An 18 % card exposed by a flat reading lands at -0.10, by a dome reading at
// +0.30. Check: TestCardLevels.
func Level(h q.LuxSeconds, s q.ISO) q.Stops { return logOf(float64(h) * float64(s) / midGrey) }

// Sensor is what sets the two ends of the picture's range. A zero field takes the usual value: base
// 100, 60,000 electrons, 4.
type Sensor struct {
	Base      q.ISO   // sensitivity at which FullWell is reached at the saturation exposure
	FullWell  float64 // electrons a pixel holds
	ReadNoise float64 // electrons, root mean square
}

func (c Sensor) filled() Sensor {
	if !(c.Base > 0) {
		c.Base = BaseISO
	}
	if !(c.FullWell > 0) {
		c.FullWell = 60_000
	}
	if !(c.ReadNoise > 0) {
		c.ReadNoise = 4
	}
	return c
}

// Clip returns the level in the picture at which the sensor saturates at sensitivity s: log2(78/10)
// = 2.96 stops over mid-grey, less below base sensitivity, where the well is full before.
func (c Sensor) Clip(s q.ISO) q.Stops {
	c = c.filled()
	if !(s > 0) {
		s = c.Base
	}
	clip := math.Log2(saturation / midGrey)
	return q.Stops(clip + min(0, math.Log2(float64(s/c.Base))))
}

// Electrons returns how many electrons a pixel gathers at a level of the picture and sensitivity s.
func (c Sensor) Electrons(level q.Stops, s q.ISO) float64 {
	c = c.filled()
	if !(s > 0) {
		s = c.Base
	}
	return c.FullWell * midGrey / saturation * float64(c.Base/s) * level.Times()
}

// Floor returns the level in the picture at which one pixel's signal is snr times its noise: shot
// noise √e and read noise r together, so e = (k² + k·√(k²+4r²))/2 electrons. 1 is where detail
// drowns; 10 is a clean shadow (both common practice, no source).
//
// Read noise is taken as the same at every sensitivity, which flatters high settings of some
// cameras by a fraction of a stop. Check: TestSensorRange.
func (c Sensor) Floor(s q.ISO, snr float64) q.Stops {
	c = c.filled()
	k := max(snr, 1e-3)
	e := (k*k + k*math.Sqrt(k*k+4*c.ReadNoise*c.ReadNoise)) / 2
	return logOf(e / c.Electrons(0, s))
}

// SNR returns signal over noise of one pixel at a level of the picture.
func (c Sensor) SNR(level q.Stops, s q.ISO) float64 {
	c = c.filled()
	e := c.Electrons(level, s)
	return over(e, math.Sqrt(e+c.ReadNoise*c.ReadNoise))
}
