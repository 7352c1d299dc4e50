package ways

import (
	"io/fs"
	"testing"

	"halfstop/internal/demo"
	"halfstop/shoot"
)

// BenchmarkFind is the whole search of ways on the three setups of the demonstration.
func BenchmarkFind(b *testing.B) {
	files := demo.FS()
	file, doc, _ := shoot.Parse(demo.Name, demo.Shoot(), shoot.Options{})
	j := &Shoot{File: file, Doc: doc, Files: func(n string) ([]byte, error) { return fs.ReadFile(files, n) }}
	for i := range file.Setups {
		b.Run(file.Setups[i].Name, func(b *testing.B) {
			for b.Loop() {
				if _, _, err := j.Find(b.Context(), i, Work{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
