// Package papers writes what a crew carries: look list, call sheet, run sheet, shot list, lighting
// plans, build cards, change cards, kit list, power and cable sheet, venue sheet, risk notes,
// meter log; and the calendar and tables that other programs read.
//
// It sets what answer has computed on the pages of sheet. It computes no light, reads no clock and
// no file. What the shoot does not say is left as a line to fill in by hand.
package papers
