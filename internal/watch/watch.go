package watch

import (
	"crypto/sha256"
	"fmt"
	"image"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"halfstop/photo"
)

// Times and bounds of a Folder.
const (
	rest     = 1200 * time.Millisecond // without a change, after which a file is tried
	patience = 15 * time.Second        // at rest and still not whole, after which that is said
	deepest  = 3                       // folders below the watched one
	mostSeen = 20000                   // files that are looked at
)

// Found is a photograph that is whole, or a file that has stayed none.
type Found struct {
	Name    string      // below the folder, with slashes
	Image   image.Image // nil where Problem is said
	Exif    photo.Exif
	Sum     [32]byte  // SHA-256 of its bytes
	Arrived time.Time // when it came; of one that was there before: when it was last changed
	Live    bool      // it came while the folder was watched
	Problem string    // why it is no photograph; it is taken later if it changes
}

// Folder watches one folder by looking at it again and again, so that network shares serve too.
type Folder struct {
	dir   string
	files map[string]*file
	begun bool
}

type file struct {
	size    int64
	changed time.Time // of the file, as the system says
	since   time.Time // that it is as it is
	first   time.Time
	live    bool
	done    bool // given, or said to be none
	tried   bool // decoding was tried as it is
}

// New watches a folder; it need not be there yet.
func New(dir string) *Folder { return &Folder{dir: dir, files: map[string]*file{}} }

// Dir is the folder.
func (f *Folder) Dir() string { return f.dir }

// Look looks once. Of what was there before the first look only the newest keep are given. The
// error says why the folder cannot be read; what was known of it is kept.
func (f *Folder) Look(now time.Time, keep int) ([]Found, error) {
	names, err := f.list()
	if err != nil {
		return nil, err
	}
	there := map[string]bool{}
	for name, info := range names {
		there[name] = true
		x := f.files[name]
		switch {
		case x == nil:
			x = &file{first: arrival(info, now), live: f.begun, size: -1}
			if !f.begun {
				x.first = info.ModTime()
			}
			f.files[name] = x
			fallthrough
		case x.size != info.Size() || !x.changed.Equal(info.ModTime()):
			if x.done { // the same name, another picture
				x.first, x.live = arrival(info, now), f.begun
			}
			x.size, x.changed, x.since, x.done, x.tried = info.Size(), info.ModTime(), now, false, false
		}
	}
	for name := range f.files {
		if !there[name] {
			delete(f.files, name)
		}
	}
	if !f.begun {
		f.begun = true
		old := make([]*file, 0, len(f.files))
		for _, x := range f.files {
			old = append(old, x)
		}
		slices.SortFunc(old, func(a, b *file) int { return b.changed.Compare(a.changed) })
		for _, x := range old[min(keep, len(old)):] {
			x.done = true
		}
	}
	return f.taken(now), nil
}

// arrival is when a file that is new came: as the system says, where that can be; software that
// copies may keep an older time.
func arrival(info fs.FileInfo, now time.Time) time.Time {
	if d := now.Sub(info.ModTime()); d >= 0 && d < time.Minute {
		return info.ModTime()
	}
	return now
}

// taken gives what has come to rest, the oldest first.
func (f *Folder) taken(now time.Time) []Found {
	var ready []string
	for name, x := range f.files {
		// What was there before and is old needs no second look.
		if !x.done && (now.Sub(x.since) >= rest || !x.live && now.Sub(x.changed) > patience) {
			ready = append(ready, name)
		}
	}
	slices.SortFunc(ready, func(a, b string) int {
		if c := f.files[a].first.Compare(f.files[b].first); c != 0 {
			return c
		}
		return strings.Compare(a, b)
	})
	var out []Found
	for _, name := range ready {
		x := f.files[name]
		late := now.Sub(x.since) >= patience || !x.live && now.Sub(x.changed) > patience
		if x.tried && !late {
			continue
		}
		x.tried = true
		found := Found{Name: name, Arrived: x.first, Live: x.live}
		src, err := f.read(name, x)
		if err == nil {
			found.Sum = sha256.Sum256(src)
			found.Image, found.Exif, err = photo.Decode(src)
		}
		if err != nil {
			found.Image, found.Problem = nil, err.Error()
		}
		if x.done = err == nil || late; x.done {
			out = append(out, found)
		}
	}
	return out
}

// read reads a file that is still as it was seen.
func (f *Folder) read(name string, x *file) ([]byte, error) {
	if x.size > photo.MostBytes {
		return nil, fmt.Errorf("it has %d MiB; %d MiB are read at most", x.size>>20, photo.MostBytes>>20)
	}
	if x.size == 0 {
		return nil, fmt.Errorf("it is empty")
	}
	src, err := os.ReadFile(filepath.Join(f.dir, filepath.FromSlash(name)))
	if err == nil && int64(len(src)) != x.size {
		err = fmt.Errorf("it is still being written")
	}
	return src, err
}

// list finds the photographs in the folder. Hidden files, links and what is no plain file are left.
func (f *Folder) list() (map[string]fs.FileInfo, error) {
	out, n := map[string]fs.FileInfo{}, 0
	err := filepath.WalkDir(f.dir, func(path string, d fs.DirEntry, err error) error {
		rel, _ := filepath.Rel(f.dir, path)
		rel = filepath.ToSlash(rel)
		if err != nil {
			if rel == "." {
				return fmt.Errorf("%s: the folder of test frames cannot be read: %w", f.dir, err)
			}
			return nil // gone meanwhile, or closed to us
		}
		if n++; n > mostSeen {
			return fs.SkipAll
		}
		if rel != "." && strings.HasPrefix(d.Name(), ".") {
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if d.IsDir() {
			if strings.Count(rel, "/") >= deepest {
				return fs.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() || !photo.Named(d.Name()) {
			return nil
		}
		if info, err := d.Info(); err == nil {
			out[rel] = info
		}
		return nil
	})
	return out, err
}
