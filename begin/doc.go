// Package begin writes a first shoot: a rectangular room, a sitter who faces the camera, and one
// key light set to the aperture at the face. Plan is what stands where; Answers gives a plan from
// four answers in the trade's order (room, camera, sitter, key), and says what cannot be. Lengths
// are metres, angles degrees.
package begin
