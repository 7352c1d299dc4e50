// Package kind holds the kinds of thing that a shoot file can name: modifiers, mounts of heads,
// panels, stands and furniture.
//
// Each kind is one entry of a typed table: its word, what it is, its body, how its face shines,
// what it mounts on, and how a plan draws it. A kind of modifier or of furniture is one file here;
// every other room (the file's words and forms, the stage, the kit, the sheet) reads the table.
// Check: TestKindsAreComplete fails where a part is missing.
package kind
