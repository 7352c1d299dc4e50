package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

const plan = "halfstop: 1\nsetups:\n  - name: a   # kept\n"

func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		p := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(p), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(p, []byte(text), 0o640); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestRead(t *testing.T) {
	dir := folder(t, map[string]string{"shoot.yaml": plan, "kit/b.yaml": "heads: []\n", "kit/a.yml": "heads: []\n",
		"kit/notes.txt": "x", "other.yaml": plan})
	for _, path := range []string{dir, filepath.Join(dir, "shoot.yaml"), filepath.Join(dir, "other.yaml")} {
		s, err := Read(path, nil)
		if err != nil || string(s.Src) != plan || len(s.Kit) != 2 || filepath.Base(s.Kit[0].Name) != "a.yml" ||
			s.Dir != dir {
			t.Errorf("%s: %+v %v", path, s, err)
		}
	}
	s, err := Read("-", strings.NewReader(plan))
	if err != nil || string(s.Src) != plan || s.Write(nil) == nil {
		t.Error(err)
	}
	if _, _, l := s.Parse(); len(l) > 0 {
		t.Error(l.Text())
	}
	for path, say := range map[string]string{filepath.Join(dir, "none"): "no such file",
		t.TempDir(): "holds no shoot.yaml"} {
		if _, err := Read(path, nil); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%s: %v", path, err)
		}
	}
	big := folder(t, map[string]string{"shoot.yaml": strings.Repeat("# long\n", 700_000)})
	if _, err := Read(big, nil); err == nil || !strings.Contains(err.Error(), "4 MiB") {
		t.Error(err)
	}
}

func TestWriteKeepsModeLinkAndBackup(t *testing.T) {
	dir := folder(t, map[string]string{"real/plan.yaml": plan})
	link := filepath.Join(dir, "shoot.yaml")
	if err := os.Symlink(filepath.Join("real", "plan.yaml"), link); err != nil {
		t.Skip("no links here")
	}
	s, err := Read(dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		if err := s.Write([]byte(plan + fmt.Sprint("# ", i, "\n"))); err != nil {
			t.Fatal(err)
		}
	}
	if info, _ := os.Lstat(link); info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced")
	}
	got, _ := os.ReadFile(filepath.Join(dir, "real", "plan.yaml"))
	if string(got) != plan+"# 2\n" {
		t.Errorf("%q", got)
	}
	if info, _ := os.Stat(link); info.Mode().Perm() != 0o640 && runtime.GOOS != "windows" {
		t.Error(info.Mode())
	}
	old, err := os.ReadFile(link + ".1.bak")
	if err != nil || string(old) != plan {
		t.Errorf("backup: %v %q", err, old)
	}
	if _, err := os.Stat(link + ".2.bak"); err == nil {
		t.Error("one backup for one session")
	}
	left, _ := filepath.Glob(filepath.Join(dir, "real", ".*tmp"))
	if len(left) > 0 {
		t.Error(left)
	}
}

func TestWriteRefusesForeignChange(t *testing.T) {
	dir := folder(t, map[string]string{"shoot.yaml": plan})
	s, _ := Read(dir, nil)
	other := plan + "# someone else\n"
	if err := os.WriteFile(s.Path, []byte(other), 0o640); err != nil {
		t.Fatal(err)
	}
	if err := s.Write([]byte("x")); !errors.Is(err, ErrChanged) {
		t.Error(err)
	}
	if got, _ := os.ReadFile(s.Path); string(got) != other {
		t.Errorf("%q", got)
	}
}

// A write that fails leaves the old file whole and no rubbish.
func TestWriteFails(t *testing.T) {
	if os.Getuid() == 0 || runtime.GOOS == "windows" {
		dir := folder(t, map[string]string{"shoot.yaml/inner": ""})
		if err := WriteFile(filepath.Join(dir, "shoot.yaml"), []byte("x")); err == nil {
			t.Error("a folder was written over")
		}
		return
	}
	dir := folder(t, map[string]string{"shoot.yaml": plan})
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if err := WriteFile(filepath.Join(dir, "shoot.yaml"), []byte("x")); err == nil {
		t.Error("written into a folder that forbids it")
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "shoot.yaml")); string(got) != plan {
		t.Errorf("%q", got)
	}
}

func TestBackupsArePruned(t *testing.T) {
	dir := folder(t, map[string]string{"shoot.yaml": plan, "shoot.yaml.x.bak": "not ours"})
	for range 14 {
		if _, err := Backup(filepath.Join(dir, "shoot.yaml")); err != nil {
			t.Fatal(err)
		}
	}
	n, _ := backups(dir, "shoot.yaml")
	if len(n) != keptBackups || n[0] != 5 || n[len(n)-1] != 14 {
		t.Error(n)
	}
}

func TestMigrateOnDisk(t *testing.T) {
	old := "version: 0   # sketch\nsetups:\n  - {name: a, subject: {at: [1, 2], faces: up}}\n"
	dir := folder(t, map[string]string{"shoot.yaml": old})
	s, _ := Read(dir, nil)
	from, err := s.Migrate()
	if err != nil || from != 0 {
		t.Fatal(from, err)
	}
	got, _ := os.ReadFile(s.Path)
	if want := "halfstop: 1   # sketch\nsetups:\n  - {name: a, sitter: {at: [1, 2], faces: up}}\n"; string(
		got) != want {
		t.Errorf("%q", got)
	}
	if kept, _ := os.ReadFile(s.Path + ".1.bak"); string(kept) != old {
		t.Errorf("%q", kept)
	}
	if from, err := s.Migrate(); from != 1 || err != nil {
		t.Error("a second migration has nothing to do", from, err)
	}
}

func TestReadFileStaysInside(t *testing.T) {
	dir := folder(t, map[string]string{"shoot/shoot.yaml": plan, "shoot/web/a.ies": "IESNA", "secret.txt": "secret"})
	s, err := Read(filepath.Join(dir, "shoot"), nil)
	if err != nil {
		t.Fatal(err)
	}
	if b, err := s.ReadFile("web/a.ies", 100); err != nil || string(b) != "IESNA" {
		t.Error(err)
	}
	_ = os.Symlink(filepath.Join(dir, "secret.txt"), filepath.Join(dir, "shoot", "link.ies"))
	for _, name := range []string{"../secret.txt", filepath.Join(dir, "secret.txt"), "link.ies", "web", "none.ies"} {
		if b, err := s.ReadFile(name, 100); err == nil {
			t.Errorf("%s gave %q", name, b)
		}
	}
	if _, err := s.ReadFile("web/a.ies", 3); err == nil {
		t.Error("the limit does not hold")
	}
}
