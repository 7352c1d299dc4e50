// Package records keeps records as folders: plain YAML, standard pictures, a file of checksums that
// sha256sum checks. A folder comes whole or not at all, and none is ever written over.
//
// It must not know what stands in a record beyond package record, nor how one is made.
package records

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/internal/store"
	"halfstop/record"
	"halfstop/shoot"
	"halfstop/yamltext"
)

// Names of the files in a record's folder.
const (
	RecordName  = "record.yaml"
	DialledName = "dialled.yaml" // the setup as it was dialled, a shoot of its own
	PlannedName = "planned.yaml" // the whole shoot file as planned
	LayersName  = "layers.exr"
	SumsName    = "SHA256SUMS"
)

// most is the largest file of a record that is read, bytes.
const most = 256 << 20

// File is one file of a record: its name with slashes, and what stands in it.
type File struct {
	Name string
	Data []byte
}

// Write puts a record into a new folder below dir, called by name, or by name with a number where
// that is taken, and gives its path. The checksums and the working copy shoot.yaml are added here.
// It is there whole, flushed, or not at all. Check: TestWrite*.
func Write(dir, name string, files []File) (string, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", err
	}
	sweep(dir)
	temp, err := os.MkdirTemp(dir, tempPrefix+"*"+tempSuffix)
	if err != nil {
		return "", err
	}
	defer os.RemoveAll(temp) // gone by its name once it is renamed
	var sums bytes.Buffer
	slices.SortFunc(files, func(a, b File) int { return strings.Compare(a.Name, b.Name) })
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Name)) {
			return "", fmt.Errorf("%s: a record keeps no file outside its folder", f.Name)
		}
		if err := put(temp, f); err != nil {
			return "", err
		}
		sum := sha256.Sum256(f.Data)
		fmt.Fprintf(&sums, "%s  %s\n", hex.EncodeToString(sum[:]), f.Name)
		if f.Name == DialledName {
			if err := put(temp, File{store.PlanName, f.Data}); err != nil {
				return "", err
			}
		}
	}
	if err := put(temp, File{SumsName, sums.Bytes()}); err != nil {
		return "", err
	}
	if err := os.Chmod(temp, 0o755); err != nil {
		return "", err
	}
	if err := syncAll(temp); err != nil {
		return "", err
	}
	for n := 1; n < 10000; n++ {
		to := filepath.Join(dir, name)
		if n > 1 {
			to = fmt.Sprintf("%s-%d", to, n)
		}
		if _, err := os.Lstat(to); err == nil {
			continue
		}
		err := os.Rename(temp, to)
		if errors.Is(err, fs.ErrExist) || err != nil && exists(to) {
			continue // another program was quicker
		}
		if err != nil {
			return "", err
		}
		return to, store.OS.SyncDir(dir)
	}
	return "", fmt.Errorf("%s: there are ten thousand records of that name", filepath.Join(dir, name))
}

const tempPrefix, tempSuffix = ".record-", ".tmp"

// sweep takes out what a killed program left half written, once it is a day old.
func sweep(dir string) {
	list, _ := os.ReadDir(dir)
	for _, e := range list {
		info, err := e.Info()
		if err == nil && e.IsDir() && strings.HasPrefix(e.Name(), tempPrefix) && strings.HasSuffix(e.Name(),
			tempSuffix) &&
			time.Since(info.ModTime()) > 24*time.Hour {
			_ = os.RemoveAll(filepath.Join(dir, e.Name()))
		}
	}
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

func put(dir string, f File) error {
	to := filepath.Join(dir, filepath.FromSlash(f.Name))
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	file, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = file.Write(f.Data)
	return errors.Join(err, file.Sync(), file.Close())
}

// syncAll flushes the names of a folder and of those in it.
func syncAll(dir string) error {
	return filepath.WalkDir(dir, func(p string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			err = store.OS.SyncDir(p)
		}
		return err
	})
}

// Slug makes a folder's name of words: lower case letters and digits of any script, hyphens
// between. Accents of Latin, Greek and Cyrillic letters go (Unicode's form D without its marks,
// then form C): Café is cafe, 日 stays 日. Words of signs alone give the numbers of their
// characters, so that two are told apart. It is at most 80 bytes long.
func Slug(words ...string) string {
	var b strings.Builder
	text := strings.ToLower(strings.Join(words, " "))
	plain := rune(0) // the letter that a mark stands on
	for _, r := range norm.NFD.String(text) {
		switch {
		case unicode.Is(unicode.Mn, r) && unicode.In(plain, unicode.Latin, unicode.Greek, unicode.Cyrillic):
		case unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) && b.Len() > 0 &&
			!strings.HasSuffix(b.String(), "-"):
			if !unicode.IsMark(r) {
				plain = r
			}
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	s := norm.NFC.String(strings.Trim(b.String(), "-"))
	if name := words[len(words)-1]; !strings.ContainsFunc(name, func(r rune) bool {
		return unicode.IsLetter(r) || unicode.IsDigit(r)
	}) {
		for _, r := range name {
			if !unicode.IsSpace(r) && !unicode.IsMark(r) && r > ' ' {
				s += fmt.Sprintf("-u%04x", r)
			}
		}
		s = strings.Trim(s, "-")
	}
	switch s { // names that one system or another keeps for itself
	case "", "con", "prn", "aux", "nul":
		s = strings.Trim("setup-"+s, "-")
	}
	for len(s) > 80 {
		_, n := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-n]
	}
	return s
}

// Is reports whether a path is a record's folder, or the record in it.
func Is(path string) bool {
	_, err := os.Stat(filepath.Join(folder(path), RecordName))
	return err == nil
}

// folder is that of a path that names it or a file in it.
func folder(p string) string {
	if base := filepath.Base(p); base == RecordName || base == DialledName {
		return filepath.Dir(p)
	}
	return p
}

// Folder is a record as it stands on disk.
type Folder struct {
	Dir    string
	Record *record.Record
	Damage []string // what is missing or no longer what was recorded, in sentences
}

// Open reads a record and looks through its checksums. A newer or unreadable record is an error
// that says where; damage to other files is told in Damage. Nothing is written.
func Open(p string) (*Folder, error) {
	f := &Folder{Dir: folder(p)}
	src, err := f.Read(RecordName)
	if err != nil {
		if errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("%s: this is no record: there is no %s in it%s", p, RecordName, near(f.Dir))
		}
		return nil, err
	}
	r, list := record.Decode(filepath.Join(f.Dir, RecordName), src)
	if r == nil {
		return nil, errors.New(strings.TrimSpace(list.Text()))
	}
	f.Record = r
	f.Damage, err = Verify(f.Dir)
	return f, err
}

// near names records that a person may have meant.
func near(dir string) string {
	for _, d := range []string{dir, filepath.Join(dir, "records")} {
		list, _ := os.ReadDir(d)
		for _, e := range list {
			if e.IsDir() && !strings.HasPrefix(e.Name(), ".") && Is(filepath.Join(d, e.Name())) {
				return "; there is one at " + filepath.Join(d, e.Name())
			}
		}
	}
	return ""
}

// Read reads a file of the record. It never leaves the folder, not even by a link.
func (f *Folder) Read(name string) ([]byte, error) {
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return nil, fmt.Errorf("%s: the file would lie outside the record's folder", name)
	}
	root, err := os.OpenRoot(f.Dir)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	info, err := root.Stat(filepath.FromSlash(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &missing{filepath.Join(f.Dir, name)}
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", filepath.Join(f.Dir, name), err)
	}
	if !info.Mode().IsRegular() || info.Size() > most {
		return nil, fmt.Errorf("%s: it is no plain file of at most %d MiB", filepath.Join(f.Dir, name), most>>20)
	}
	return root.ReadFile(filepath.FromSlash(name))
}

// missing says that a file of the record is not there.
type missing struct{ path string }

func (m *missing) Error() string {
	return m.path + ": the file is missing: take it from another copy of the record"
}

func (m *missing) Unwrap() error { return fs.ErrNotExist }

// Job is the setup as it was dialled, ready to be worked on. file is DialledName or another file of
// the folder.
func (f *Folder) Job(file string) (*answer.Job, diag.List, error) {
	src, err := f.Read(file)
	if err != nil {
		return nil, nil, err
	}
	kits, err := store.Kits(f.Dir)
	if err != nil {
		return nil, nil, err
	}
	s := &store.Shoot{Name: filepath.Join(f.Dir, file), Path: filepath.Join(f.Dir, file), Dir: f.Dir, Src: src,
		Kit: kits}
	var plan *shoot.File
	var doc *yamltext.Doc
	plan, doc, list := s.Parse()
	if list.Has(diag.Error) {
		return nil, list, nil
	}
	return &answer.Job{File: plan, Doc: doc, Files: f.Read}, list, nil
}

// Verify holds the files of a record against its checksums and says what is wrong, in sentences;
// none for a whole one. The error is of the checksums themselves.
func Verify(dir string) ([]string, error) {
	f := &Folder{Dir: dir}
	src, err := f.Read(SumsName)
	if errors.Is(err, fs.ErrNotExist) {
		return []string{SumsName + " is missing: nothing shows whether the files are as they were recorded"}, nil
	}
	if err != nil {
		return nil, err
	}
	var damage []string
	lines := bufio.NewScanner(bytes.NewReader(src))
	for n := 1; lines.Scan(); n++ {
		sum, name, ok := strings.Cut(lines.Text(), "  ")
		if !ok || len(sum) != 2*sha256.Size {
			damage = append(damage, fmt.Sprintf("%s:%d: this is no checksum with its file", SumsName, n))
			continue
		}
		data, err := f.Read(path.Clean(name))
		switch {
		case errors.Is(err, fs.ErrNotExist):
			damage = append(damage, name+" is missing: take it from another copy of the record")
		case err != nil:
			damage = append(damage, fmt.Sprintf("%s cannot be read: %v", name, err))
		default:
			if have := sha256.Sum256(data); hex.EncodeToString(have[:]) != strings.ToLower(sum) {
				damage = append(damage, name+" is not what was recorded: its checksum is another; "+
					"take it from another copy")
			}
		}
	}
	return damage, lines.Err()
}
