// Package scan finds a room in a phone's scan: its units, which way is up, floor, ceiling and
// walls; it turns and shifts the mesh into the room's frame, takes the shell off what stands in
// the room, and makes it light enough to trace.
//
// What it finds is a guess to be looked at: every step says what it took and can be told. It must
// not know shoot files or the disk.
package scan
