// Package accuracy holds the whole chain to physics known from elsewhere: a shoot file goes in, the
// JSON of `meter` comes out, and its numbers stand beside closed forms and published figures.
//
// It is tests only. The scenes are written as docs/shoot-file.md says, by someone who knows nothing
// of the code. The table that they make is docs/accuracy.md: `go test ./internal/accuracy -run
// TestAccuracy -update` writes it.
package accuracy
