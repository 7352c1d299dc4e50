// Package ways poses one setup's look as a problem for package balance, and finds what else could
// be done where the look cannot be had: changes of place, modifier, head, panel, house light or
// camera, each on a copy of the setup, traced and balanced anew. Match makes one light's colour
// with the heads of the kit.
//
// It must not know screens, servers or disks: the caller brings the parsed shoot and what was
// measured.
package ways
