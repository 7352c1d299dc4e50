package daylight

import "math"

// Scale gives the illuminance of open level ground, lx, for the sun's altitude in degrees. Only its
// ratios are used: the level itself stands in the shoot file.
type Scale func(altitude float64) float64

// OvercastSource names where Overcast comes from, for the screen.
const OvercastSource = "overcast sky of the IES recommended practice for daylight availability (1984): 0.3 + 21·sin h klx; below the horizon the fall of twilight in the Explanatory Supplement to the Astronomical Almanac (1992)"

// Overcast is the Scale of a sky under even cloud: 0.3 + 21·sin h klx over the horizon (IES,
// Recommended practice for the calculation of daylight availability, 1984; constants from memory,
// within 12 % of its half-sky form from 5° up, check D7). Below the horizon it falls as the
// twilight of Seidelmann (ed.), Explanatory Supplement to the Astronomical Almanac, 1992 (after
// Janiczek & DeYoung, US Naval Observatory Circular 171, 1987), joined at the horizon: cloud is
// taken to dim twilight evenly. Single skies lie a factor of two either way; heavy cloud at dusk
// may be darker still.
func Overcast(altitude float64) float64 {
	const horizon = 300
	if math.IsNaN(altitude) {
		return 0
	}
	if altitude >= 0 {
		return horizon + 21000*math.Sin(min(altitude, 90)*math.Pi/180)
	}
	return horizon * math.Pow(10, twilight(max(altitude, -18))-twilight(0))
}

// twilight is the decimal logarithm of the illuminance in lx of a clear sky, for altitudes from
// -18° to 0.
func twilight(altitude float64) float64 {
	x := altitude / 90
	poly := func(a, b, c, d float64) float64 { return a + x*(b+x*(c+x*d)) }
	switch {
	case altitude >= -0.8:
		return poly(2.88, 22.26, -207.64, 1034.30)
	case altitude >= -5:
		return poly(2.88, 21.81, -258.11, -858.36)
	case altitude >= -12:
		return poly(2.70, 12.17, -431.69, -1899.83)
	}
	return poly(13.84, 262.72, 1447.42, 2797.93)
}
