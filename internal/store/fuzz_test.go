package store

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// FuzzReadFile: whatever a shoot names, nothing outside its folder is read and nothing over the
// limit is taken.
func FuzzReadFile(f *testing.F) {
	for _, s := range []string{"a.txt", "../secret", "./a.txt", "sub/../a.txt", "/etc/passwd", "link",
		"link/../secret", "a.txt\x00", "", ".", "..", "sub\\..\\..\\secret", "sub/b.txt"} {
		f.Add(s)
	}
	top := f.TempDir()
	dir := filepath.Join(top, "shoot")
	secret := []byte("nobody outside may read this")
	for name, text := range map[string]string{"secret": string(secret), "shoot/shoot.yaml": "halfstop: 1\n",
		"shoot/a.txt": "a", "shoot/sub/b.txt": strings.Repeat("b", 100)} {
		path := filepath.Join(top, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			f.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			f.Fatal(err)
		}
	}
	_ = os.Symlink("../secret", filepath.Join(dir, "link"))
	s, err := Read(filepath.Join(dir, "shoot.yaml"), nil)
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, name string) {
		b, err := s.ReadFile(name, 50)
		if err == nil && (bytes.Contains(b, secret) || len(b) > 50) {
			t.Fatalf("%q gave %q", name, b)
		}
		if err != nil && err.Error() == "" {
			t.Fatalf("%q refused without a word", name)
		}
	})
}

// FuzzParse: any bytes as a shoot's text: migrated and decoded without a panic, never nothing.
func FuzzParse(f *testing.F) {
	f.Add([]byte("halfstop: 1\nsetups: [{name: a}]\n"))
	f.Add([]byte("halfstop: 0\nsetups: [{name: a, subject: {at: [1, 2]}}]\n"))
	f.Fuzz(func(t *testing.T, src []byte) {
		s := &Shoot{Name: "shoot.yaml", Src: src}
		file, doc, _ := s.Parse()
		if file == nil || doc == nil {
			t.Fatal("nothing given back")
		}
	})
}
