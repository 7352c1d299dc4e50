// Package sheet draws the lighting plan of one setup to scale on A4 or US Letter: plan, section,
// dimensions, the lights' settings, the readings to expect, cautions and a title block. One drawing
// becomes SVG, PDF and PNG.
//
// It must not know shoots, light transport or files: a [Plan] brings every figure ready-made, and
// the results are bytes and images. A level is only written down here, never computed.
//
// The look is the project's own: no hue but that of light, words instead of icons, legible in black
// and white, nothing under 6.2 points.
package sheet
