// Package stage turns one setup of a shoot into a scene that trace can carry light through, and
// keeps beside it what each layer, point and body is, so that readings, drawings and checks can
// name them.
//
// It must not trace light, nor read files: photometric files and meshes come through Options.Files.
package stage
