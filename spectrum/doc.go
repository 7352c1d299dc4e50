// Package spectrum holds light as a function of wavelength: curves, lamps, the CIE observer, colour
// temperature, colour difference, adaptation, display encodings, the sixteen windows in which
// transport is traced, and colours turned back into spectra.
//
// It must not know surfaces, gels, scenes or files. Tables are embedded with their source in the
// header; NOTICE.part holds the text that must travel with some of them.
package spectrum
