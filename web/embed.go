package web

import (
	"embed"
	"io/fs"
)

//go:embed all:dist
var dist embed.FS

// FS returns the built page: index.html at its root, the rest under assets with hashed names.
// Check: TestPage in internal/e2e.
func FS() fs.FS {
	f, err := fs.Sub(dist, "dist")
	if err != nil {
		panic(err) // the name is constant and valid
	}
	return f
}
