package server

import (
	"io/fs"

	"halfstop/web"
)

// BuiltPage is the page that is compiled in.
func BuiltPage() fs.FS { return web.FS() }
