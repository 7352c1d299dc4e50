package ways

import (
	"io/fs"
	"os"
	"testing"

	"halfstop/shoot"
)

// BenchmarkFind is the whole search of ways on the three setups of the demonstration.
func BenchmarkFind(b *testing.B) {
	files := os.DirFS("../internal/demo/launderette").(fs.ReadFileFS)
	src, err := files.ReadFile("shoot.yaml")
	if err != nil {
		b.Fatal(err)
	}
	file, doc, _ := shoot.Parse("demonstration", src, shoot.Options{})
	j := &Shoot{File: file, Doc: doc, Files: files.ReadFile}
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
