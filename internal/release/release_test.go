package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Archives hold what they were given, and only that decides their bytes.
func TestArchives(t *testing.T) {
	when := time.Unix(1_700_000_000, 0).UTC()
	entries := []entry{{"halfstop", []byte("program"), true, "x"}, {"man/halfstop.1", []byte("page"), false, "y"}}
	entries = append(entries, contents("v1", "linux/amd64", entries))
	a, err := tarred("halfstop-v1", entries, when)
	b, err2 := tarred("halfstop-v1", entries, when)
	if err != nil || err2 != nil || !bytes.Equal(a, b) {
		t.Fatal("two archives of the same files differ", err, err2)
	}
	z, err := gzip.NewReader(bytes.NewReader(a))
	if err != nil {
		t.Fatal(err)
	}
	list := ""
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		data, _ := io.ReadAll(r)
		list += fmt.Sprintf("%s %o %d %d %s\n", h.Name, h.Mode, len(data), h.ModTime.Unix(), h.Uname)
		if strings.HasSuffix(h.Name, "CONTENTS") && !strings.Contains(string(data),
			fmt.Sprintf("%x", sha256.Sum256([]byte("page")))) {
			t.Errorf("the list of contents lacks a sum:\n%s", data)
		}
	}
	want := "halfstop-v1/halfstop 755 7 1700000000 \nhalfstop-v1/man/halfstop.1 644 4 1700000000 " +
		"\nhalfstop-v1/CONTENTS 644 "
	if !strings.HasPrefix(list, want) {
		t.Errorf("%s", list)
	}
	if _, err := zipped("halfstop-v1", entries, when); err != nil {
		t.Error(err)
	}
}

// clone copies the committed tree to a folder of its own, so that what is not committed plays no
// part.
func clone(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "tree")
	if out, err := exec.Command("git", "clone", "-q", "../..", dir).CombinedOutput(); err != nil {
		t.Skipf("=== NO GIT CLONE OF THIS TREE: RELEASE NOT TRIED === %s", out)
	}
	return dir
}

// TestReproducible builds one target from two clones at two places, the second with nothing
// compiled before, and compares every byte.
func TestReproducible(t *testing.T) {
	if os.Getenv("HALFSTOP_LONG") == "" {
		t.Skip("compiles everything anew, for minutes: HALFSTOP_LONG is not set")
	}
	var got [2][]byte
	for i := range got {
		tree, out := clone(t), t.TempDir()
		if i == 1 {
			t.Setenv("GOCACHE", t.TempDir())
		}
		if err := release(tree, out, []string{"linux/arm64"}); err != nil {
			t.Fatal(err)
		}
		found, err := filepath.Glob(filepath.Join(out, "halfstop-*-linux-arm64.tar.gz"))
		if err != nil || len(found) != 1 {
			t.Fatal(found, err)
		}
		if got[i], err = os.ReadFile(found[0]); err != nil {
			t.Fatal(err)
		}
		sums, err := os.ReadFile(filepath.Join(out, "SHA256SUMS"))
		if err != nil || !strings.HasPrefix(string(sums), fmt.Sprintf("%x  halfstop-", sha256.Sum256(got[i]))) {
			t.Errorf("the sums do not hold: %s %v", sums, err)
		}
	}
	if !bytes.Equal(got[0], got[1]) {
		t.Error("two builds of one commit differ")
	}
}

// A tree with a change that is not committed makes no release.
func TestDirtyTree(t *testing.T) {
	tree := clone(t)
	if err := os.WriteFile(filepath.Join(tree, "stray.txt"), nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := release(tree, t.TempDir(), targets[:1]); err == nil || !strings.Contains(err.Error(), "not clean") {
		t.Error(err)
	}
}
