// Package balance turns the look wanted into settings that can be dialled in, says what cannot be
// had and why, and ranks the ways out. It takes a Problem (points, lights with their options, a
// camera, targets) whose layers are already traced: light adds, so nothing here traces, and a
// change of power, gel or camera is a weighted sum.
//
// Solve finds the settings, MatchPrimaries and MatchGels make one light's colour, a Scorer scores
// candidate changes.
//
// It must not know shoots, files, geometry, spectra or kit catalogues: the caller folds spectra
// into XYZ and brings a new Problem for every candidate that needed a new trace. The method and its
// measurements are in docs/decisions/0004-balance-method.md.
package balance
