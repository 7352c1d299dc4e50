// Package daylight knows where the sun stands, how bright the sky is where, and how sun and sky go
// with hour and weather.
//
// It must not know rooms, windows or files. Angles are degrees for altitude and azimuth (east of
// north), radians inside the formulas of the skies; directions are unit vectors in the plan's
// frame, z up.
package daylight
