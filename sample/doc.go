// Package sample gives repeatable random numbers and turns them into directions and points with a
// known density.
//
// It must not know lights, surfaces or scenes. A number depends on the seed, the stream (a pixel, a
// receptor), the index of the sample and the dimension asked for, never on who asked before: so
// pictures and readings repeat for any number of workers.
//
// Seq gives well spread points (Owen-scrambled Sobol pairs); the warps (disc.go, cone.go, rect.go,
// …) come as Sample and Pdf, each held to each other by a chi-squared test; Tally turns independent
// repeats into a mean with an honest standard error.
package sample
