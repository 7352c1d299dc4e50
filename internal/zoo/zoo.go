// Package zoo loads the rooms of the folder zoo for tests and measurements: small shoots unlike
// each other and unlike the demonstration, over which claims of speed and quality are made.
package zoo

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/shoot"
)

// Room is one shoot of the zoo; it has one setup.
type Room struct {
	Name string // of its file, without the ending
	Job  *answer.Job
}

// Load reads every room in a folder, in the order of their names. An error names the file and what
// is wrong in it.
func Load(dir string) ([]Room, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
	if err != nil {
		return nil, err
	}
	if len(paths) == 0 {
		return nil, fmt.Errorf("%s: there are no rooms here", dir)
	}
	var out []Room
	for _, p := range paths {
		src, err := os.ReadFile(p)
		if err != nil {
			return nil, err
		}
		f, doc, list := shoot.Parse(filepath.Base(p), src, shoot.Options{})
		if list.Has(diag.Error) {
			return nil, fmt.Errorf("%s", list.Text())
		}
		out = append(out, Room{strings.TrimSuffix(filepath.Base(p), ".yaml"), &answer.Job{File: f, Doc: doc}})
	}
	return out, nil
}
