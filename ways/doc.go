// Package ways turns the look of one setup into an optimisation problem for package balance, and
// searches for other means where the look cannot be reached: changes of place, modifier, head,
// panel, house light or camera. Each change is applied to a copy of the setup, traced and balanced
// again. Match reproduces the colour of a light with the heads of the kit.
//
// It must not know screens, servers or disks: the caller brings the parsed shoot and the
// measurement.
package ways
