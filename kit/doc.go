// Package kit holds what a crew owns or hires: heads, modifiers, grids, gels, panels, stands, and
// what each does to light.
//
// A generic catalogue is embedded (catalogue/*.yaml); every figure there names its source or says
// 'common practice, no source', and every figure can be overridden by own kit. Resolve turns one
// head with its accessories and its setting into a Source: an emitter's shape and true size, its
// intensity on axis, how the intensity falls with the angle, and its spectrum.
//
// It must not know rooms, sitters, light transport or files on disk: a photometric file reaches it
// through a function.
package kit
