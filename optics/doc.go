// Package optics is the arithmetic of exposure and of the camera: meters, the sensor's range,
// shutters and flicker, framing, depth of field, and the words a portrait photographer has for
// where the key stands.
//
// It must not know shoots, kits or light transport: quantities go in, quantities come out. Every
// function takes any number; where the arithmetic has no answer (a zero f-number, a lens focused
// nearer than its focal length) it says what it gives instead of NaN.
//
// Constants that a house may choose (C, K, q) are arguments, because a number is worth nothing
// without the constant it was made with.
package optics
