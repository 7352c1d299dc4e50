// Package material says what surfaces, skin, hair, cloth and colour sheets do to light, as spectra
// with a source each.
//
// It must not know geometry, light transport or files: how a surface scatters by direction is
// computed elsewhere from the numbers here. Every surface given out keeps reflectance and
// transmittance together at or under 1 at each wavelength (Surface.Check).
package material
