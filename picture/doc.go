// Package picture turns film into pictures: layers mixed at the setup's levels, white balance, tone
// curve, gamut, files.
//
// It must not trace light.
package picture
