// Package trace carries light: emitters, surfaces, haze, receptors and film, in layers.
//
// A Scene is triangles with materials and emitters with a layer each. Light adds, so one path from
// a receptor or a pixel serves every layer: at each of its vertices every layer's emitters are
// asked for their light (next-event estimation with multiple importance sampling). What comes out
// is transport per unit emission in the 16 spectral windows of package spectrum: T[layer][band]. A
// change of power, colour, gel, shutter or sensitivity only re-weighs T.
//
// Emitters are pure light: they have shape and size, they do not block. What blocks (a softbox's
// body, a lamp's housing) is geometry beside them. A ray gathers the light of every emitter that it
// crosses before the surface it ends on.
//
// The package must not know shoots, heads, cameras' settings or spectra of lights. Lengths in
// metres, radiance in cd/m² (or cd·s/m²) per unit, intensities in cd.
package trace
