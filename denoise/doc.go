// Package denoise filters the Monte Carlo noise out of a computed picture, layer by layer, guided
// by feature buffers.
//
// A layer is divided by the albedo of the surface in view, so that texture is out of the way, then
// averaged over a widening neighbourhood (an à-trous wavelet filter: Dammertz, Sewtz, Hanika and
// Lensch 2010) and multiplied again. A neighbour counts the less, the more its normal, depth and
// albedo differ from the pixel's, and the more its light differs from the pixel's in terms of the
// noise that both are known to have (Schied and others 2017, without their use of time). The
// weights of a layer depend on that layer and the surfaces only, and they are weights of a mean:
// the denoised layers add up to the denoised picture, whatever the levels they are mixed at, and a
// layer that did not change need not be denoised again.
//
// Airlight (what haze scatters into the view ray) depends on place and depth instead, see
// airlight.go. Fireflies give their light to the pixels round about, in proportion to what those
// have, see fireflies.go: the sum of a layer's light stays. Edges are rebuilt from the coverage of
// each pixel, see edges.go.
//
// It is biased: what is finer than the noise goes. Where a light's own edge, a shadow's edge or a
// highlight stands out of the noise it stays, because its difference to its neighbours is many
// times the noise. With more samples the noise and with it the bias goes to zero.
//
// The package must not know layers' lights, spectra, films or files.
package denoise
