// Package testframe holds a photograph against the predicted picture, light by light: where the
// camera looked, what each light gave against its prediction, the white balance, and the likely
// mistakes behind what differs.
//
// A predicted picture is a sum of the pictures that each light makes alone, so the photograph is
// explained by non-negative weights of them (Lawson and Hanson 1974), with the camera's white
// balance as a gain for each channel.
//
// It must not know shoots, files or how pictures are computed: it is given pixels.
package testframe
