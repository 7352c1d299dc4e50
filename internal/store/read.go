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

	// Disk is what Write goes to; nil: OS.
	Disk Disk

	backedUp bool
}

// missing is an error of something that is not there.
type missing struct{ text string }

func (e *missing) Error() string        { return e.text }
func (e *missing) Is(target error) bool { return target == fs.ErrNotExist }

// Missing is a shoot whose file is not there: what is known of it must come from elsewhere.
func Missing(path string) *Shoot { return &Shoot{Name: path, Path: path, Dir: filepath.Dir(path)} }

// PlanOf gives the plan that a path means: shoot.yaml in a folder, or what is no plan's name taken
// for one; else the path itself.
func PlanOf(path string) string {
	ext := strings.ToLower(filepath.Ext(path))
	if info, err := os.Stat(path); err == nil && info.IsDir() || err != nil && ext != ".yaml" && ext != ".yml" {
		return filepath.Join(path, PlanName)
	}
	return path
}

// Read finds a shoot: a file, a folder with shoot.yaml inside, or '-' for stdin. Nothing is
// written.
//
// Errors name the path and what to do; fs.ErrNotExist where there is none. At most 4 MiB are read
// of each file, and nothing of what is no plain file (NotPlain). Check: TestRead, TestSpecialFiles.
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
		return nil, &missing{path + ": there is no such file or folder; 'halfstop new' begins a shoot"}
	}
	if err != nil {
		return nil, plainly(path, err)
	}
	if info.IsDir() {
		plan := filepath.Join(path, PlanName)
		if _, err := os.Stat(plan); errors.Is(err, fs.ErrNotExist) {
			return nil, &missing{path + ": the folder holds no " + PlanName}
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

// Kits reads the files of kit in the folder kit beside a shoot, by name; none where there is no
// such folder. A link that leads out of the shoot's folder is not followed, and what is no plain
// file is refused. Check: TestKitStaysInside.
func Kits(dir string) ([]shoot.KitFile, error) {
	folder := filepath.Join(dir, "kit")
	root, err := os.OpenRoot(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, plainly(dir, err)
	}
	defer root.Close()
	if info, err := root.Stat("kit"); errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	} else if err != nil {
		return nil, outward(root, "kit", folder, err)
	} else if !info.IsDir() {
		return nil, fmt.Errorf("%s: this is no folder; kit stands in a folder of this name", folder)
	}
	d, err := root.Open("kit")
	if err != nil {
		return nil, outward(root, "kit", folder, err)
	}
	entries, err := d.ReadDir(-1)
	d.Close()
	if err != nil {
		return nil, plainly(folder, err)
	}
	var list []shoot.KitFile
	for _, e := range entries {
		ext := strings.ToLower(filepath.Ext(e.Name()))
		if e.IsDir() || ext != ".yaml" && ext != ".yml" || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		if len(list) == maxKits {
			return nil, fmt.Errorf("%s: more than %d files of kit", folder, maxKits)
		}
		name := filepath.Join(folder, e.Name())
		src, err := readInside(root, filepath.Join("kit", e.Name()), name, maxShoot)
		if err != nil {
			return nil, err
		}
		list = append(list, shoot.KitFile{Name: name, Src: src})
	}
	slices.SortFunc(list, func(a, b shoot.KitFile) int { return strings.Compare(a.Name, b.Name) })
	return list, nil
}

// readInside reads a plain file under root; name is what messages call it.
func readInside(root *os.Root, local, name string, most int64) ([]byte, error) {
	info, err := root.Stat(local)
	if err != nil {
		return nil, outward(root, local, name, err)
	}
	if !info.Mode().IsRegular() {
		return nil, &NotPlain{name, kindOf(info.Mode())}
	}
	f, err := root.OpenFile(local, os.O_RDONLY|nonblock, 0)
	if err != nil {
		return nil, outward(root, local, name, err)
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, &NotPlain{name, "another thing than a moment ago"}
	}
	return atMost(f, name, most)
}

// outward adds what to do to the error of a path that leads out of the folder of root.
func outward(root *os.Root, local, name string, err error) error {
	dir, err1 := filepath.EvalSymlinks(root.Name())
	real, err2 := filepath.EvalSymlinks(filepath.Join(root.Name(), local))
	if err1 == nil && err2 == nil {
		if rel, e := filepath.Rel(dir, real); e != nil || !filepath.IsLocal(rel) {
			return fmt.Errorf(
				"%s: this leads out of the shoot's folder, which is not followed; put a copy of the file there", name)
		}
	}
	return plainly(name, err)
}

// ReadPlan reads a shoot file as Read does.
func ReadPlan(path string) ([]byte, error) { return readLimited(path) }

func readLimited(path string) ([]byte, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return limited(f, path)
}

func limited(r io.Reader, name string) ([]byte, error) { return atMost(r, name, maxShoot) }

func atMost(r io.Reader, name string, most int64) ([]byte, error) {
	b, err := io.ReadAll(io.LimitReader(r, most+1))
	if err != nil {
		return nil, plainly(name, err)
	}
	if int64(len(b)) > most {
		if most < 1<<20 {
			return nil, fmt.Errorf("%s: the file is larger than %d bytes", name, most)
		}
		return nil, fmt.Errorf("%s: the file is larger than %d MiB", name, most>>20)
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

// ReadFile reads a file that the shoot names, such as a photometric file or a mesh. It never leaves
// the shoot's folder, not even by a symbolic link. most is the largest size in bytes. Check:
// TestReadFileStaysInside.
func (s *Shoot) ReadFile(name string, most int64) ([]byte, error) {
	if s.Dir == "" {
		return nil, fmt.Errorf("%s: a shoot from standard input has no folder to read files from", name)
	}
	root, err := os.OpenRoot(s.Dir)
	if err != nil {
		return nil, plainly(s.Dir, err)
	}
	defer root.Close()
	return readInside(root, filepath.FromSlash(name), name, most)
}

// ReadBeside reads a file that a file at path names, by its slashed name below that file's folder,
// and never leaves the folder, not even by a symbolic link. most is the largest size in bytes.
func ReadBeside(path, name string, most int64) ([]byte, error) {
	root, err := os.OpenRoot(filepath.Dir(path))
	if err != nil {
		return nil, plainly(filepath.Dir(path), err)
	}
	defer root.Close()
	return readInside(root, filepath.FromSlash(name), name, most)
}

// ReadPart reads a plain file, the first most bytes of it.
func ReadPart(path string, most int64) ([]byte, error) {
	f, err := openPlain(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, most))
	if err != nil {
		return nil, plainly(path, err)
	}
	return b, nil
}
