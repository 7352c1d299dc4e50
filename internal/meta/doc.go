// Package meta holds the rules of the house as tests: which room may import which, what the engine
// may not touch, how long a file may be.
//
// It has no code of its own. It reads the sources itself, because what a child `go list` sees would
// be hidden from the test cache.
package meta
