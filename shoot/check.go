package shoot

import (
	"fmt"

	"halfstop/diag"
	"halfstop/yamltext"
)

// checker looks at what settings mean together.
type checker struct {
	doc  *yamltext.Doc
	file *File
	list diag.List
}

// say reports a mistake at a path.
func (c *checker) say(path, code, fix, format string, args ...any) {
	c.list = append(c.list, diag.Message{Code: code, Pos: c.doc.Pos(path), Text: fmt.Sprintf(format, args...), Fix: fix})
}

func (c *checker) file_() {
}
