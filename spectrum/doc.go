// Package spectrum holds light as a function of wavelength. It has curves, lamps, the CIE 1931
// observer, correlated colour temperature, colour difference, chromatic adaptation, display
// encodings, the sixteen wavelength windows in which transport is traced, and spectra found for a
// given colour (spectral upsampling).
//
// It must not know surfaces, gels, scenes or files. Tables are embedded, each with its source in
// its header. NOTICE.part holds the text that must travel with some of them.
package spectrum
