// Package meter turns light into readings: what a hand-held meter shows at each point, what the
// camera records there, how sure that is, and which light did it.
//
// It must not build scenes. It gets a stage, asks trace for transport and weighs it by the setup's
// camera and lights; weighing again for other settings costs no tracing (Weigh).
package meter
