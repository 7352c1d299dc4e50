package records

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"
)

func some() []File {
	return []File{{RecordName, []byte("halfstop record: 1\nsetup: A\n")},
		{DialledName, []byte("halfstop: 1\nsetups: []\n")},
		{"photos/set.jpg", []byte("not really one")}}
}

// TestWrite: a record comes with sums that the standard tool checks; a second one of the same name
// lies beside the first, which stays as it was.
func TestWrite(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "records")
	a, err := Write(dir, "x", some())
	if err != nil {
		t.Fatal(err)
	}
	b, err := Write(dir, "x", some())
	if err != nil || filepath.Base(a) != "x" || filepath.Base(b) != "x-2" {
		t.Fatalf("%s, %s, %v", a, b, err)
	}
	if tool, err := exec.LookPath("sha256sum"); err == nil {
		c := exec.Command(tool, "--strict", "-c", SumsName)
		c.Dir = a
		if out, err := c.CombinedOutput(); err != nil {
			t.Errorf("sha256sum: %v\n%s", err, out)
		}
	}
	f, err := Open(a)
	if err != nil || len(f.Damage) > 0 || f.Record.Setup != "A" {
		t.Fatalf("%+v, %v", f, err)
	}
	list, _ := os.ReadDir(dir)
	if len(list) != 2 {
		t.Errorf("%d entries are left, want the two records", len(list))
	}
}

// TestWriteAtOnce: of many that write the same name at one moment each gets a folder of its own.
func TestWriteAtOnce(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	var mu sync.Mutex
	got := map[string]bool{}
	for range 12 {
		wg.Go(func() {
			p, err := Write(dir, "x", some())
			mu.Lock()
			defer mu.Unlock()
			if err != nil || got[p] {
				t.Errorf("%s: %v", p, err)
			}
			got[p] = true
		})
	}
	wg.Wait()
	for p := range got {
		if bad, err := Verify(p); err != nil || len(bad) > 0 {
			t.Errorf("%s: %v %v", p, bad, err)
		}
	}
}

// TestWriteFails: where a file cannot be written nothing is left.
func TestWriteFails(t *testing.T) {
	dir := t.TempDir()
	if _, err := Write(dir, "x", append(some(), File{"../out", nil})); err == nil {
		t.Error("a file outside the folder was written")
	}
	if list, _ := os.ReadDir(dir); len(list) != 0 {
		t.Errorf("%v was left", list)
	}
}

// TestDamage: a byte changed, a file gone and sums that are none are each said with the file.
func TestDamage(t *testing.T) {
	p, err := Write(t.TempDir(), "x", some())
	if err != nil {
		t.Fatal(err)
	}
	edit := func(name string, f func([]byte) []byte) {
		b, err := os.ReadFile(filepath.Join(p, name))
		if err == nil {
			err = os.WriteFile(filepath.Join(p, name), f(b), 0o644)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	edit("shoot.yaml", func(b []byte) []byte { return append(b, '#') }) // the working copy may change
	if bad, _ := Verify(p); len(bad) != 0 {
		t.Errorf("the working copy is called damaged: %v", bad)
	}
	edit("photos/set.jpg", func(b []byte) []byte { b[3] ^= 1; return b })
	if err := os.Remove(filepath.Join(p, DialledName)); err != nil {
		t.Fatal(err)
	}
	edit(SumsName, func(b []byte) []byte { return append(b, "nonsense\n"...) })
	bad, err := Verify(p)
	all := strings.Join(bad, "\n")
	if err != nil || len(bad) != 3 || !strings.Contains(all, "photos/set.jpg is not what was recorded") ||
		!strings.Contains(all, "dialled.yaml is missing") || !strings.Contains(all, "SHA256SUMS:4") {
		t.Errorf("%v\n%s", err, all)
	}
}

// TestOutside: names that lead out of the folder are not followed, by a path or a link.
func TestOutside(t *testing.T) {
	p, err := Write(t.TempDir(), "x", some())
	if err != nil {
		t.Fatal(err)
	}
	f := &Folder{Dir: p}
	if err := os.Symlink("../../../etc/hostname", filepath.Join(p, "link")); err == nil {
		if _, err := f.Read("link"); err == nil {
			t.Error("a link led out of the folder")
		}
	}
	if _, err := f.Read("../x/record.yaml"); err == nil {
		t.Error("a path led out of the folder")
	}
}

// TestSlug: names read, in any script, and two that differ stay two.
func TestSlug(t *testing.T) {
	for in, want := range map[string]string{"2026-03-14 Window bench": "2026-03-14-window-bench",
		"  Über/..\\x ": "uber-x", "Café": "cafe", "日": "日", "月": "月", "Окно й": "окно-и", "窓 際 1": "窓-際-1",
		"हिन्दी": "हिन्दी", "が": "が", "か": "か", "☀": "u2600", "☂☀": "u2602-u2600", "CON": "setup-con", "": "setup",
		"한국": "한국"} {
		if got := Slug("", in); got != want {
			t.Errorf("%q gives %q, want %q", in, got, want)
		}
	}
	if a := Slug("2026-01-02", "日"); a != "2026-01-02-日" {
		t.Error(a)
	}
	if a := Slug("2026-01-02", "☀"); a != "2026-01-02-u2600" {
		t.Error(a)
	}
	if s := Slug(strings.Repeat("語", 100)); len(s) > 80 || !utf8.ValidString(s) {
		t.Errorf("%d bytes, %q", len(s), s)
	}
}
