// Package render computes pictures and light fields of a staged setup: it drives package trace's
// film through rounds of samples, spends more of them where the picture needs it (adaptive
// sampling, refinement of emitter edges), denoises it layer by layer, and mixes the layers under
// the camera's settings. The command line and the server both use it.
//
// The way of a picture: LensOf and MixOf say what the camera sees and how layers are weighed;
// Expose takes samples in rounds of 1, 1, 2, 4 …; RefineEmitterEdges spends more on the rims of
// lamps; DenoiseLayers filters; Frame.Linear mixes.
//
// It must not know shoot files as text, messages, papers, files or sockets.
package render
