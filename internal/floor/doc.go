// Package floor serves a crew on its day: what is to be done now, the dials to set, readings taken,
// settings found again from them, help asked for, lateness told. Everything that happens goes into
// the log of the day (package daylog); what is shown is made of the plan and the log, so that a
// crash loses nothing.
//
// It must not change the shoot, and must not know how phones reach it (package share).
package floor
