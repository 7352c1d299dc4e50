package daylight

// twilight is the decimal logarithm of the illuminance in lx of a clear sky, for altitudes from
// -18° to 0: Seidelmann (ed.), Explanatory Supplement to the Astronomical Almanac, 1992, after
// Janiczek & DeYoung, US Naval Observatory Circular 171, 1987.
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
