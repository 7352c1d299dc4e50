// Package shoot holds the shoot file: the plan of a job as a person writes it. It is decoded
// strictly, checked as far as that needs no geometry, edited in place and migrated.
//
// It must not know light transport, nor files on disk: Parse takes bytes. What a head of the kit
// can do is known to kit; what stands inside a wall, to stage.
package shoot
