package watch_test

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfstop/internal/watch"
)

func picture(t testing.TB, grey uint8) []byte {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range m.Pix {
		m.Pix[i] = grey ^ uint8(i*7)
	}
	m.SetGray(3, 3, color.Gray{grey})
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func write(t testing.TB, dir, name string, b []byte) {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// look looks at a time that the test gives: nothing here waits.
func look(t *testing.T, f *watch.Folder, at time.Time) string {
	t.Helper()
	found, err := f.Look(at, 2)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, x := range found {
		s := x.Name
		if x.Problem != "" {
			s += " (" + x.Problem + ")"
		}
		if !x.Live {
			s += ", there before"
		}
		out = append(out, s)
	}
	return strings.Join(out, "; ")
}

// TestWhole: a file that is written piece by piece is taken once, when it is whole, even where its
// writer rests in between; a file of another name, hidden or linked, never; one that is no picture
// is said; the same name with another picture is taken again.
func TestWhole(t *testing.T) {
	dir, whole := t.TempDir(), picture(t, 90)
	write(t, dir, "old1.jpg", whole)
	for i, name := range []string{"old1.jpg", "old2.jpg", "old3.jpg"} {
		write(t, dir, name, whole)
		when := time.Now().Add(time.Duration(i-10) * time.Hour)
		if err := os.Chtimes(filepath.Join(dir, name), when, when); err != nil {
			t.Fatal(err)
		}
	}
	f, now := watch.New(dir), time.Now()
	// Of three that are old the newest two are taken, at once.
	if got := look(t, f, now); got != "old2.jpg, there before; old3.jpg, there before" {
		t.Error(got)
	}
	write(t, dir, "a/shot.JPG", whole[:len(whole)/3])
	write(t, dir, ".hidden.jpg", whole)
	write(t, dir, "notes.txt", whole)
	if err := os.Symlink("/etc/hostname", filepath.Join(dir, "link.jpg")); err != nil {
		t.Log(err)
	}
	at := func(s float64) time.Time { return now.Add(time.Duration(s * float64(time.Second))) }
	for _, s := range []float64{1, 2, 3, 4, 9} { // at rest, and not whole
		if got := look(t, f, at(s)); got != "" {
			t.Errorf("at %g s: %s", s, got)
		}
	}
	write(t, dir, "a/shot.JPG", whole[:len(whole)*2/3])
	if got := look(t, f, at(10)) + look(t, f, at(13)); got != "" {
		t.Error(got)
	}
	write(t, dir, "a/shot.JPG", whole)
	if got := look(t, f, at(14)); got != "" {
		t.Error("taken before it came to rest:", got)
	}
	if got := look(t, f, at(16)); got != "a/shot.JPG" {
		t.Errorf("whole and at rest: %q", got)
	}
	if got := look(t, f, at(60)); got != "" {
		t.Error("taken twice:", got)
	}
	write(t, dir, "a/shot.JPG", append(picture(t, 200), 0, 0, 0))
	look(t, f, at(61))
	if got := look(t, f, at(63)); got != "a/shot.JPG" {
		t.Errorf("another picture under the same name: %q", got)
	}
	write(t, dir, "no.tif", []byte("this is a letter"))
	write(t, dir, "none.png", nil)
	look(t, f, at(70))
	if got := look(t, f, at(73)); got != "" {
		t.Error("said before patience is over:", got)
	}
	if got := look(t, f, at(90)); !strings.Contains(got, "no.tif (") ||
		!strings.Contains(got, "none.png (it is empty)") {
		t.Error(got)
	}
	if got := look(t, f, at(120)); got != "" {
		t.Error("said twice:", got)
	}
	if err := os.RemoveAll(dir); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Look(at(121), 2); err == nil || !strings.Contains(err.Error(), "cannot be read") {
		t.Error(err)
	}
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "back.jpg", whole)
	look(t, f, at(122))
	if got := look(t, f, at(125)); got != "back.jpg" {
		t.Errorf("the folder is back: %q", got)
	}
}

// ExampleFolder takes in a picture that came while the folder was watched.
func ExampleFolder() {
	dir, err := os.MkdirTemp("", "watch")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	f, now := watch.New(dir), time.Now()
	_, _ = f.Look(now, 10)
	write(&testing.B{}, dir, "frame.jpg", picture(&testing.B{}, 120))
	_, _ = f.Look(now.Add(time.Second), 10)
	found, _ := f.Look(now.Add(3*time.Second), 10)
	fmt.Println(len(found), found[0].Name, found[0].Image.Bounds())
	// Output: 1 frame.jpg (0,0)-(64,48)
}
