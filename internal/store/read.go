package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"halfstop/diag"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// Limits on what is read.
const (
	maxShoot = 4 << 20
	maxKits  = 200
)

// PlanName is the name of the plan in a shoot's folder.
const PlanName = "shoot.yaml"

// Shoot is a shoot as found on disk.
type Shoot struct {
	Name string          // as messages name it: the path as given, or 'standard input'
	Path string          // of the plan; "" for standard input
	Dir  string          // the shoot's folder; "" for standard input
	Src  []byte          // the plan's text
	Kit  []shoot.KitFile // kit/*.yaml beside it, by name

	backedUp bool
}

// Read finds a shoot: a file, a folder with shoot.yaml inside, or '-' for stdin. Nothing is written.
//
// Errors name the path and what to do. At most 4 MiB are read of each file. Check: TestRead.
func Read(path string, stdin io.Reader) (*Shoot, error) {
	if path == "-" {
		if stdin == nil {
			return nil, errors.New("there is no standard input to read")
		}
		src, err := limited(stdin, "standard input")
		return &Shoot{Name: "standard input", Src: src}, err
	}
	info, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: there is no such file or folder", path)
	}
	if err != nil {
		return nil, plainly(path, err)
	}
	if info.IsDir() {
		plan := filepath.Join(path, PlanName)
		if _, err := os.Stat(plan); errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s: the folder holds no %s", path, PlanName)
		}
		path = plan
	}
	src, err := readLimited(path)
	if err != nil {
		return nil, err
	}
	s := &Shoot{Name: path, Path: path, Dir: filepath.Dir(path), Src: src}
	s.Kit, err = Kits(s.Dir)
	return s, err
}

// Parse decodes and checks the shoot with the kit beside it.
func (s *Shoot) Parse() (*shoot.File, *yamltext.Doc, diag.List) {
	return shoot.Parse(s.Name, s.Src, shoot.Options{Kit: s.Kit})
}

// Kits reads the files of kit in the folder kit beside a shoot, by name; none where there is no such folder.
func Kits(dir string) ([]shoot.KitFile, error) {
	entries, err := os.ReadDir(filepath.Join(dir, "kit"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, plainly(filepath.Join(dir, "kit"), err)
	}
	var list []shoot.KitFile
	for _, e := range entries {
		ext := strings.ToLower(filepath.Ext(e.Name()))
		if e.IsDir() || ext != ".yaml" && ext != ".yml" || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		if len(list) == maxKits {
			return nil, fmt.Errorf("%s: more than %d files of kit", filepath.Join(dir, "kit"), maxKits)
		}
		name := filepath.Join(dir, "kit", e.Name())
		src, err := readLimited(name)
		if err != nil {
			return nil, err
		}
		list = append(list, shoot.KitFile{Name: name, Src: src})
	}
	slices.SortFunc(list, func(a, b shoot.KitFile) int { return strings.Compare(a.Name, b.Name) })
	return list, nil
}

func readLimited(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, plainly(path, err)
	}
	defer f.Close()
	if info, err := f.Stat(); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s: this is a folder, not a file", path)
	}
	return limited(f, path)
}

func limited(r io.Reader, name string) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(r, maxShoot+1))
	if err != nil {
		return nil, plainly(name, err)
	}
	if len(b) > maxShoot {
		return nil, fmt.Errorf("%s: the file is larger than %d MiB", name, maxShoot>>20)
	}
	return b, nil
}

// plainly drops the operation's name from a system error and puts the path first.
func plainly(path string, err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		err = p.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// ReadFile reads a file that the shoot names, such as a photometric file or a mesh. It never leaves the shoot's folder, not
// even by a symbolic link. most is the largest size in bytes. Check: TestReadFileStaysInside.
func (s *Shoot) ReadFile(name string, most int64) ([]byte, error) {
	if s.Dir == "" {
		return nil, fmt.Errorf("%s: a shoot from standard input has no folder to read files from", name)
	}
	root, err := os.OpenRoot(s.Dir)
	if err != nil {
		return nil, plainly(s.Dir, err)
	}
	defer root.Close()
	local := filepath.FromSlash(name)
	info, err := root.Stat(local)
	if err != nil {
		return nil, plainly(name, err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: this is no plain file", name)
	}
	f, err := root.Open(local)
	if err != nil {
		return nil, plainly(name, err)
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, plainly(name, err)
	}
	if int64(len(b)) > most {
		return nil, fmt.Errorf("%s: the file is larger than %d bytes", name, most)
	}
	return b, nil
}
