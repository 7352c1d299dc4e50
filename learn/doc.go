// Package learn corrects what is known of a kit and a place from meter readings.
//
// A prediction is a sum of parts, one a light, each the product of factors: the head, its modifier,
// its grid, its gels, the surfaces of the room, a practical, the daylight. Each factor's error is a
// number of stops with a normal prior. Readings are sums of light, so the errors enter through a
// logarithm of a sum; the posterior is found by Gauss-Newton steps and taken as normal about its
// mode (Laplace; Gelman and others, Bayesian Data Analysis, 2013, ch. 4). A reading that does not
// fit is questioned and left out, not averaged in.
//
// It must not know where readings or factors come from; answer brings both.
package learn
