// Package demo holds the built-in demonstration shoot: an invented launderette at dusk, three
// setups.
package demo

import (
	"embed"
	"io/fs"
)

//go:embed launderette
var files embed.FS

// Name is what messages call the shoot file.
const Name = "demonstration/shoot.yaml"

// Shoot returns the shoot file.
func Shoot() []byte {
	b, err := files.ReadFile("launderette/shoot.yaml")
	if err != nil {
		panic(err) // it is compiled in
	}
	return b
}

// FS returns the shoot's folder.
func FS() fs.FS {
	d, err := fs.Sub(files, "launderette")
	if err != nil {
		panic(err)
	}
	return d
}
