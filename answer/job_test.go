package answer

import (
	"os"
	"path/filepath"
	"testing"

	"halfstop/diag"
	"halfstop/shoot"
)

func jobOf(t testing.TB, src string) *Job {
	t.Helper()
	f, doc, list := shoot.Parse("test", []byte(src), shoot.Options{})
	if list.Has(diag.Error) {
		t.Fatal(list.Text())
	}
	return &Job{File: f, Doc: doc}
}

// demonstration is the text of the shoot that comes with the program.
func demonstration(t testing.TB) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "internal", "demo", "launderette", "shoot.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
