package server

import (
	"net/http"
	"strconv"

	"halfstop/yamltext"
)

// Bounds on one request's edits: each of them reads the whole text anew.
const (
	mostEdits  = 1000
	mostEdited = 32 << 20 // bytes of text, over all edits
	mostPath   = 1 << 10  // bytes of a path
)

// edited applies edits to a text, one after the other. doc is the text decoded. The work is
// bounded.
func edited(doc *yamltext.Doc, text []byte, edits []Edit) ([]byte, error) {
	if n := len(edits); n > mostEdits || n > 8 && n*len(text) > mostEdited {
		return nil, refuse(http.StatusRequestEntityTooLarge,
			"%d edits at once are too many for a text of %d KiB: send at most %d", n, len(text)>>10,
			max(8, min(mostEdits, mostEdited/len(text))))
	}
	for n, e := range edits {
		for _, p := range [6]string{e.Set, e.Append, e.Delete, e.Rename, e.Move, e.Copy} {
			if len(p) > mostPath {
				return nil, refuse(http.StatusBadRequest, "edit %d: the path is %d bytes long; %d is the most", n+1,
					len(p), mostPath)
			}
		}
		if n > 0 {
			name := doc.Name
			if doc = doc.Edited(text); doc == nil { // another edit of the same text came between
				doc, _ = yamltext.Parse(name, text)
			}
		}
		var next []byte
		var err error
		said := 0
		for _, p := range [6]string{e.Set, e.Append, e.Delete, e.Rename, e.Move, e.Copy} {
			if p != "" {
				said++
			}
		}
		switch {
		case said != 1:
			return nil, refuse(http.StatusBadRequest,
				"edit %d: say exactly one of set, append, delete, rename, move and copy", n+1)
		case e.Set != "":
			next, err = doc.Set(e.Set, e.Value)
		case e.Append != "":
			next, err = doc.Append(e.Append, e.Value)
		case e.Delete != "":
			next, err = doc.Delete(e.Delete)
		case e.Rename != "":
			next, err = doc.Rename(e.Rename, e.Value)
		default:
			to, bad := strconv.Atoi(e.Value)
			if bad != nil {
				return nil, refuse(http.StatusBadRequest,
					"edit %d: value: write the number of the new place, counted from 0", n+1)
			}
			if e.Move != "" {
				next, err = doc.Move(e.Move, to)
			} else {
				next, err = doc.Copy(e.Copy, to)
			}
		}
		if err != nil {
			return nil, refuse(http.StatusUnprocessableEntity, "%v; nothing was changed", err)
		}
		text = next
	}
	return text, nil
}
