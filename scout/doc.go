// Package scout makes measurements of scouting photographs and settings of a shoot of them: the
// luminance, reflectance and colour of what is pressed in a photograph, the colours of light that a
// place offers, where the photograph was taken from, and which lines of the shoot file say so.
//
// It works on bytes: it knows neither the disk nor the page.
package scout
