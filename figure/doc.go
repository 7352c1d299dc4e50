// Package figure draws the sitter: a parametric head and body to a triangle mesh with named landmarks.
//
// It must not know light, cameras, materials' reflectance, rooms or files.
package figure
