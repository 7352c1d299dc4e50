// Command release builds what is given away: for each target an archive with the program, its
// licence and those of what is in it, completions, manual pages and a list of contents, and beside
// the archives their SHA-256 sums.
//
// From one commit and one Go it makes the same bytes on any machine: no clock, no path, no user
// goes in. Times are the commit's. It refuses a tree that is not clean. Run it by 'make release'.
package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"time"
)

var targets = []string{"linux/amd64", "linux/arm64", "darwin/amd64", "darwin/arm64", "windows/amd64", "windows/arm64"}

func main() {
	out := flag.String("o", "dist", "folder for the archives")
	only := flag.String("target", "", "one target, like linux/amd64; all when absent")
	root := flag.String("C", ".", "the tree to build")
	flag.Parse()
	list := targets
	if *only != "" {
		list = []string{*only}
	}
	if err := release(*root, *out, list); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

// entry is one file of an archive.
type entry struct {
	name    string
	data    []byte
	run     bool   // executable
	licence string // what it is given under
}

// release builds the archives of targets from the tree root into out.
func release(root, out string, targets []string) error {
	state, err := git(root, "status", "--porcelain")
	if err != nil {
		return err
	}
	if state != "" {
		return fmt.Errorf("the tree is not clean; commit first, so that the archives can be made again:\n%s", state)
	}
	stamp, err := git(root, "log", "-1", "--format=%ct %h")
	if err != nil {
		return err
	}
	seconds, commit, _ := strings.Cut(stamp, " ")
	unix, err := strconv.ParseInt(seconds, 10, 64)
	if err != nil {
		return err
	}
	when := time.Unix(unix, 0).UTC()
	version := when.Format("20060102") + "-" + commit
	if tag, err := git(root, "describe", "--exact-match", "--tags"); err == nil {
		version = tag
	}
	common, err := commonFiles(root)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	sums := map[string]string{}
	for _, target := range targets {
		system, arch, _ := strings.Cut(target, "/")
		name := fmt.Sprintf("halfstop-%s-%s-%s", version, system, arch)
		program, err := build(root, system, arch)
		if err != nil {
			return err
		}
		file := "halfstop"
		if system == "windows" {
			file += ".exe"
		}
		entries := append([]entry{{file, program, true, "Apache-2.0, with the modules listed in LICENCES"}}, common...)
		slices.SortFunc(entries, func(a, b entry) int { return strings.Compare(a.name, b.name) })
		entries = append(entries, contents(version, target, entries))
		var data []byte
		if system == "windows" {
			data, err = zipped(name, entries, when)
			name += ".zip"
		} else {
			data, err = tarred(name, entries, when)
			name += ".tar.gz"
		}
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(out, name), data, 0o644); err != nil {
			return err
		}
		sums[name] = fmt.Sprintf("%x", sha256.Sum256(data))
		fmt.Printf("%s: %.1f MB\n", filepath.Join(out, name), float64(len(data))/1e6)
	}
	var b strings.Builder
	for _, target := range targets {
		for name, sum := range sums {
			if strings.Contains(name, strings.ReplaceAll(target, "/", "-")+".") {
				fmt.Fprintf(&b, "%s  %s\n", sum, name)
			}
		}
	}
	return os.WriteFile(filepath.Join(out, "SHA256SUMS"), []byte(b.String()), 0o644)
}

// build compiles the program for a target. Without -w and -s a stack trace of a fault names its
// lines, so they stay.
func build(root, system, arch string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "release")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	at := filepath.Join(dir, "halfstop")
	c := exec.Command("go", "build", "-trimpath", "-buildvcs=true", "-o", at, "./cmd/halfstop")
	c.Dir = root
	c.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+system, "GOARCH="+arch, "GOAMD64=v1", "GOARM64=v8.0",
		"GOFLAGS=")
	if b, err := c.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("go build for %s/%s: %w\n%s", system, arch, err, b)
	}
	return os.ReadFile(at)
}

// commonFiles are those that every target has: licences, completions and manual pages, the last two
// as the program of this machine writes them.
func commonFiles(root string) ([]entry, error) {
	var out []entry
	for _, name := range []string{"LICENSE", "NOTICE", "README.md"} {
		b, err := os.ReadFile(filepath.Join(root, name))
		if err != nil {
			return nil, err
		}
		out = append(out, entry{name: name, data: b, licence: "Apache-2.0"})
	}
	licences, err := licencesOf(root)
	if err != nil {
		return nil, err
	}
	out = append(out, entry{name: "LICENCES", data: licences, licence: "as it says"})
	program, err := build(root, runtime.GOOS, runtime.GOARCH)
	if err != nil {
		return nil, err
	}
	dir, err := os.MkdirTemp("", "release")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	at := filepath.Join(dir, "halfstop"+map[bool]string{true: ".exe"}[runtime.GOOS == "windows"])
	if err := os.WriteFile(at, program, 0o755); err != nil {
		return nil, err
	}
	for shell, file := range map[string]string{"bash": "halfstop.bash", "zsh": "_halfstop", "fish": "halfstop.fish",
		"powershell": "halfstop.ps1"} {
		b, err := exec.Command(at, "completion", shell).Output()
		if err != nil {
			return nil, fmt.Errorf("completion %s: %w", shell, err)
		}
		out = append(out, entry{name: "completions/" + file, data: b, licence: "Apache-2.0"})
	}
	if b, err := exec.Command(at, "man", filepath.Join(dir, "man")).CombinedOutput(); err != nil {
		return nil, fmt.Errorf("man: %w\n%s", err, b)
	}
	pages, err := os.ReadDir(filepath.Join(dir, "man"))
	if err != nil {
		return nil, err
	}
	for _, p := range pages {
		b, err := os.ReadFile(filepath.Join(dir, "man", p.Name()))
		if err != nil {
			return nil, err
		}
		out = append(out, entry{name: "man/" + p.Name(), data: b, licence: "Apache-2.0"})
	}
	return out, nil
}

// licencesOf gathers the licence texts of the Go distribution and of every module that is compiled
// into the program.
func licencesOf(root string) ([]byte, error) {
	type module struct{ Path, Version, Dir string }
	seen := map[string]module{}
	for _, target := range targets { // a module may be of one system only
		system, arch, _ := strings.Cut(target, "/")
		c := exec.Command("go", "list", "-deps", "-json=Module,Standard", "./cmd/halfstop")
		c.Dir = root
		c.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS="+system, "GOARCH="+arch, "GOFLAGS=")
		b, err := c.Output()
		if err != nil {
			return nil, fmt.Errorf("go list: %w", err)
		}
		for d := json.NewDecoder(bytes.NewReader(b)); d.More(); {
			var p struct {
				Standard bool
				Module   *module
			}
			if err := d.Decode(&p); err != nil {
				return nil, err
			}
			if !p.Standard && p.Module != nil && p.Module.Version != "" {
				seen[p.Module.Path] = *p.Module
			}
		}
	}
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return nil, err
	}
	list := []module{{"Go's standard library", "", strings.TrimSpace(string(goroot))}}
	for _, m := range seen {
		list = append(list, m)
	}
	slices.SortFunc(list[1:], func(a, b module) int { return strings.Compare(a.Path, b.Path) })
	var out bytes.Buffer
	fmt.Fprintf(&out,
		"What is compiled into halfstop, and under which licence. halfstop itself: LICENSE; tables and typeface: "+
			"NOTICE.\n")
	for _, m := range list {
		text, err := licenceIn(m.Dir)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", m.Path, err)
		}
		fmt.Fprintf(&out, "\n%s\n%s %s\n%s\n\n%s\n", strings.Repeat("=", 80), m.Path, m.Version,
			strings.Repeat("=", 80), bytes.TrimSpace(text))
	}
	return out.Bytes(), nil
}

// licenceIn reads the licence of a module's folder. Distributions of Go keep theirs one folder up,
// or not at all: then the terms' place is named.
func licenceIn(dir string) ([]byte, error) {
	for _, name := range []string{"LICENSE", "LICENSE.txt", "LICENSE.md", "LICENCE", "COPYING", "../LICENSE"} {
		if b, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
			return b, nil
		} else if !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
	}
	return nil, fmt.Errorf("no licence in its folder %s", filepath.Base(dir))
}

// contents lists what is in an archive, each with its sum and licence.
func contents(version, target string, entries []entry) entry {
	var b strings.Builder
	fmt.Fprintf(&b, "halfstop %s for %s\n\nSHA-256, bytes, file, licence\n\n", version, target)
	for _, e := range entries {
		fmt.Fprintf(&b, "%x  %9d  %-32s  %s\n", sha256.Sum256(e.data), len(e.data), e.name, e.licence)
	}
	return entry{name: "CONTENTS", data: []byte(b.String()), licence: "Apache-2.0"}
}

func git(root string, args ...string) (string, error) {
	c := exec.Command("git", args...)
	c.Dir = root
	b, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("git %s: %w", strings.Join(args, " "), err)
	}
	return strings.TrimSpace(string(b)), nil
}
