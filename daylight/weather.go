package daylight

import (
	"math"

	"halfstop/geom"
	"halfstop/spectrum"
)

// Weather is a condition by its everyday name.
type Weather struct {
	Name      string
	Kind      int     // type of the standard general sky
	Direct    float64 // share of a clear day's direct sun; 0: no sun
	Turbidity float64 // luminous turbidity of the air; 0: of a clear day
	Spread    float64 // one standard deviation of its level, stops
}

// The conditions. Types by their descriptions in ISO 15469; shares and spreads: common practice, no
// source, but that single skies lie a factor of two either way of such models.
var weathers = []Weather{
	{"overcast", 1, 0, 0, 0.8},
	{"broken", 8, 0.6, 0, 1.0},
	{"hazy", 14, 1, 6, 0.6},
	{"clear", 12, 1, 0, 0.4},
}

// Conditions are the names in order, from dull to clear.
func Conditions() (out []string) {
	for _, w := range weathers {
		out = append(out, w.Name)
	}
	return out
}

// Condition finds one by name.
func Condition(name string) (Weather, bool) {
	for _, w := range weathers {
		if w.Name == name {
			return w, true
		}
	}
	return Weather{}, false
}

// clearTurbidity is the luminous turbidity that makes the clear sky of the IES (c = 0.21 an air
// mass of 1/sin h) at one air mass, by the extinction of clean dry air below.
const clearTurbidity = 0.21 / (0.1 / 1.0045)

// AirMass is the length of air that the sun's beam crosses against that at the zenith, by altitude
// in degrees (unrefracted): Kasten & Young 1989 (constants from memory). Check: TestAirMass (D5).
func AirMass(altitude float64) float64 {
	h := max(altitude, -0.5)
	return 1 / (math.Sin(h*math.Pi/180) + 0.50572*math.Pow(h+6.07995, -1.6364))
}

// Extraterrestrial is the sun's illuminance outside the air on a day of the year (1 to 366), lx:
// IES, Recommended practice for the calculation of daylight availability, 1984. Check: TestDirect
// (D6).
func Extraterrestrial(day int) float64 {
	return 127500 * (1 + 0.034*math.Cos(2*math.Pi*float64(day-2)/365))
}

// Sun is the direct normal illuminance, lx: Ext exp(-0.1/(1 + 0.0045 m) T m) with the air mass m
// and the luminous turbidity T (CIE 108-1994, from memory). At T = 2.1, a clear day, within 7 % of
// the IES 1984, Ext exp(-0.21/sin h), from 10° up; it stays true to the horizon.
func (w Weather) Sun(altitude float64, day int) float64 {
	if altitude <= -0.833 || w.Direct == 0 {
		return 0
	}
	m := AirMass(altitude)
	// As the disc goes under, its share over the horizon; half its width is 0.267°, refraction at
	// the horizon 0.57° (both included).
	disc := max(0, min(1, (altitude+0.833)/0.533))
	return w.Direct * disc * Extraterrestrial(day) * math.Exp(-0.1/(1+0.0045*m)*w.turbidity()*m)
}

func (w Weather) turbidity() float64 {
	if w.Turbidity > 0 {
		return w.Turbidity
	}
	return clearTurbidity
}

// Level is the illuminance of open level ground by the sky without the sun, lx. Over the horizon
// the forms of the IES 1984 (constants from memory, check D7): clear 0.8 + 15.5 √sin h, broken 0.3
// + 45 sin h, overcast 0.3 + 21 sin h klx. Haze adds half of what it takes from the sun (our
// estimate: it scatters forward). Under the horizon the fall of twilight, joined at the horizon:
// cloud is taken to dim it evenly. Single skies lie a factor of two either way.
func (w Weather) Level(altitude float64, day int) float64 {
	if math.IsNaN(altitude) {
		return 0
	}
	h := max(altitude, 0)
	s := math.Sin(min(h, 90) * math.Pi / 180)
	var e float64
	switch {
	case w.Name == "overcast":
		e = 300 + 21000*s
	case w.Name == "broken":
		e = 300 + 45000*s
	default:
		e = 800 + 15500*math.Sqrt(s)
		if w.turbidity() > clearTurbidity {
			clean := Weather{Direct: 1}
			e += 0.5 * s * (clean.Sun(h, day) - Weather{Direct: 1, Turbidity: w.Turbidity}.Sun(h, day))
		}
	}
	if altitude < 0 {
		e *= math.Pow(10, twilight(max(altitude, -18))-twilight(0))
	}
	return e
}

// Sky is the weather's distribution.
func (w Weather) Sky() Sky {
	s, _ := General(w.Kind)
	return s
}

// Facing is what a plane with unit normal n gets out of doors from sky, sun and ground (reflectance
// ground), lx; level is that of Level and direct that of Sun, so that a scaled day can be asked
// too. seen is the share of a direction that is free; nil: all.
func (w Weather) Facing(n, sun geom.Vec, level, direct, ground float64, seen func(dir geom.Vec) float64) (sky, beam,
	below float64) {
	s := w.Sky()
	zenith := level / s.Illuminance(geom.V(0, 0, 1), sun, nil)
	sky = zenith * s.Illuminance(n, sun, seen)
	if c := sun.Dot(n); c > 0 && direct > 0 {
		beam = direct * c
		if seen != nil {
			beam *= seen(sun)
		}
	}
	below = ground * (level + direct*max(0, sun.Z)) * (1 - n.Z) / 2
	return sky, beam, below
}

// SunLight is the colour of the direct sun at an altitude (degrees) through air of a luminous
// turbidity: a black body of 5778 K through Rayleigh scattering, 0.008735 λ^-4.08 an air mass
// (Leckner 1978), ozone of 0.3 cm in its visible band, and haze β λ^-1.3 (Ångström 1929), λ in µm,
// with β such that the luminous extinction is the turbidity's. Constants from memory. Check:
// TestSunColour.
func SunLight(altitude, turbidity float64) spectrum.Curve {
	m := AirMass(max(altitude, 0))
	if turbidity <= 0 {
		turbidity = clearTurbidity
	}
	// Clean air has T = 1; what is over it is haze, whose extinction at 555 nm is β 0.555^-1.3.
	beta := max(0, turbidity-1) * 0.1 / math.Pow(0.555, -1.3)
	from := spectrum.Planck(5778)
	var pairs [][2]float64
	for nm := 360.0; nm <= 830; nm += 5 {
		um := nm / 1000
		ozone := 0.3 * 0.13 * math.Exp(-math.Pow((nm-602)/60, 2)) // Chappuis band: 0.13 /cm at its middle
		through := math.Exp(-m * (0.008735*math.Pow(um, -4.08) + ozone + beta*math.Pow(um, -1.3)))
		pairs = append(pairs, [2]float64{nm, from.At(nm) * through})
	}
	c, err := spectrum.OfPairs(pairs)
	if err != nil {
		return from
	}
	return c
}

// SkyKelvin is the correlated colour temperature of a place of a clear or broken sky by its
// luminance, cd/m²: 6500 + 1.1985e8 / L^1.2 (Takagi, Harada, Chen & Shimozima 1990; from memory),
// kept to 25,000 K, where the locus of daylight ends. Cloud is 6500 K.
func (w Weather) SkyKelvin(luminance, altitude float64) float64 {
	if w.Name == "overcast" {
		return 6500 + blueHour(altitude)/2
	}
	if altitude < 0 {
		return 9000 + blueHour(altitude)
	}
	return min(25000, 6500+1.1985e8/math.Pow(max(luminance, 500), 1.2))
}

// blueHour is how much bluer the sky gets as the sun sinks: ozone takes the yellow from light that
// comes by the long way (Hulburt 1953). Kelvin, rising over the first 6° under the horizon to 8000
// (measured twilights lie at 9,000 to 20,000 K; from memory).
func blueHour(altitude float64) float64 { return 8000 * max(0, min(1, -altitude/6)) }
