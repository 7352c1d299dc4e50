package daylight

import (
	"math"
	"time"
)

// Sun gives the sun's altitude and its azimuth (east of north) in degrees, without refraction, at
// an instant and a place (degrees, north and east positive). The short form of the United States'
// National Oceanic and Atmospheric Administration after Meeus, Astronomical Algorithms, chapter 25:
// within 0.02° of the Solar Position Algorithm from 1950 to 2050.
func Sun(at time.Time, latitude, longitude float64) (altitude, azimuth float64) {
	rad := math.Pi / 180
	jd := float64(at.UnixMilli())/86400e3 + 2440587.5
	t := (jd - 2451545) / 36525

	// The sun on the ecliptic.
	l0 := 280.46646 + t*(36000.76983+t*0.0003032)
	m := (357.52911 + t*(35999.05029-t*0.0001537)) * rad
	c := (1.914602-t*(0.004817+t*0.000014))*math.Sin(m) + (0.019993-t*0.000101)*math.Sin(2*m) + 0.000289*math.Sin(3*m)
	omega := (125.04 - 1934.136*t) * rad
	lambda := (l0 + c - 0.00569 - 0.00478*math.Sin(omega)) * rad

	// On the equator.
	eps := (23 + (26+(21.448-t*(46.815+t*(0.00059-t*0.001813)))/60)/60 + 0.00256*math.Cos(omega)) * rad
	dec := math.Asin(math.Sin(eps) * math.Sin(lambda))
	ra := math.Atan2(math.Cos(eps)*math.Sin(lambda), math.Cos(lambda))

	// Over the horizon of the place.
	sidereal := 280.46061837 + 360.98564736629*(jd-2451545) + t*t*0.000387933
	h := (math.Mod(sidereal, 360)+longitude)*rad - ra
	phi := latitude * rad
	alt := math.Asin(min(1, max(-1, math.Sin(phi)*math.Sin(dec)+math.Cos(phi)*math.Cos(dec)*math.Cos(h))))
	az := math.Atan2(-math.Cos(dec)*math.Sin(h), math.Sin(dec)*math.Cos(phi)-math.Cos(dec)*math.Cos(h)*math.Sin(phi))
	return alt / rad, math.Mod(az/rad+360, 360)
}

// Apparent is the sun's altitude as seen, degrees: less its parallax, 8.794″ cos h, more the
// refraction of air at a pressure in millibars and a temperature in °C (Reda & Andreas,
// NREL/TP-560-34302, equation 42). Where the sun is far under the horizon, nothing is bent. Check:
// TestRefraction (D1.1).
func Apparent(altitude, millibars, celsius float64) float64 {
	h := altitude - 8.794/3600*math.Cos(altitude*math.Pi/180)
	if h < -0.8333 {
		return h
	}
	return h + millibars/1010*283/(273+celsius)*1.02/(60*math.Tan((h+10.3/(h+5.11))*math.Pi/180))
}
