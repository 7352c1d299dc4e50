// Package day plans the day of a shoot: the order of the setups, who does what when, the chance
// that each setup is done in its hour, and what to give up first.
//
// The model. Setups are shot one after the other. Between two of them lies a change: a small
// project of tasks with durations, hands, people who may do them, precedences and lags. Hands that
// are free while a picture is taken may begin the next change where its tasks allow it. The first
// change is the pre-light. Each change is scheduled exactly (Plan.Ready: resource-constrained
// project scheduling by branch and bound), and the order is exact over all orders and all choices
// of what to leave out (Plan.Order: dynamic programming over subsets, Held and Karp 1962). What
// the model leaves out: a task cannot lie across two pictures.
//
// It must not know the disk, the clock or a screen. Times are seconds after midnight, durations
// seconds, unless a name says minutes.
package day
