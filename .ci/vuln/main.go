// Command vuln lays out the reports of golang.org/x/vulndb as the database that govulncheck reads
// from a folder (the layout of https://go.dev/doc/security/vuln/database), so that the check needs
// no network but the module proxy.
//
//	go run .ci/vuln/main.go DATA/OSV OUT
package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

type report struct {
	ID       string    `json:"id"`
	Modified time.Time `json:"modified"`
	Aliases  []string  `json:"aliases"`
	Affected []struct {
		Package struct {
			Name string `json:"name"`
		} `json:"package"`
		Ranges []struct {
			Events []struct {
				Fixed string `json:"fixed"`
			} `json:"events"`
		} `json:"ranges"`
	} `json:"affected"`
}

type moduleVuln struct {
	ID       string    `json:"id"`
	Modified time.Time `json:"modified"`
	Fixed    string    `json:"fixed,omitempty"`
}

type module struct {
	Path  string       `json:"path"`
	Vulns []moduleVuln `json:"vulns"`
}

type vuln struct {
	ID       string    `json:"id"`
	Modified time.Time `json:"modified"`
	Aliases  []string  `json:"aliases,omitempty"`
}

func main() {
	if err := run(os.Args[1], os.Args[2]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(in, out string) error {
	files, err := filepath.Glob(filepath.Join(in, "GO-*.json"))
	if err != nil || len(files) == 0 {
		return fmt.Errorf("%s holds no reports: %v", in, err)
	}
	for _, dir := range []string{"ID", "index"} {
		if err := os.MkdirAll(filepath.Join(out, dir), 0o755); err != nil {
			return err
		}
	}
	modules := map[string]*module{}
	var vulns []vuln
	var newest time.Time
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			return err
		}
		var r report
		if err := json.Unmarshal(b, &r); err != nil {
			return fmt.Errorf("%s: %w", f, err)
		}
		if err := os.WriteFile(filepath.Join(out, "ID", r.ID+".json"), b, 0o644); err != nil {
			return err
		}
		vulns = append(vulns, vuln{r.ID, r.Modified, r.Aliases})
		if r.Modified.After(newest) {
			newest = r.Modified
		}
		for _, a := range r.Affected {
			m := modules[a.Package.Name]
			if m == nil {
				m = &module{Path: a.Package.Name}
				modules[a.Package.Name] = m
			}
			v := moduleVuln{ID: r.ID, Modified: r.Modified}
			for _, g := range a.Ranges {
				for _, e := range g.Events {
					if e.Fixed != "" {
						v.Fixed = e.Fixed
					}
				}
			}
			m.Vulns = append(m.Vulns, v)
		}
	}
	var list []*module
	for _, m := range modules {
		list = append(list, m)
	}
	slices.SortFunc(list, func(a, b *module) int { return strings.Compare(a.Path, b.Path) })
	for name, v := range map[string]any{"db": map[string]time.Time{"modified": newest}, "modules": list,
		"vulns": vulns} {
		b, err := json.Marshal(v)
		if err != nil {
			return err
		}
		if err := os.WriteFile(filepath.Join(out, "index", name+".json"), b, 0o644); err != nil {
			return err
		}
	}
	fmt.Printf("%d reports on %d modules\n", len(vulns), len(list))
	return nil
}
