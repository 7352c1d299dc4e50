// Package library finds setups in folders of shoots and records: an SQLite full-text index, kept
// beside the machine's other caches, that is brought up to date from the files and never touches
// their folders.
//
// It must not trace light: what it knows of a setup is what its file says and, of a record, what
// was recorded.
package library

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	_ "modernc.org/sqlite" // SQLite in Go, with FTS5

	"halfstop/internal/records"
	"halfstop/internal/store"
)

// version of the index: one of another version is made anew, for it holds nothing of its own.
const version = 4

const schema = `
CREATE TABLE files (path TEXT PRIMARY KEY, stamp TEXT NOT NULL) STRICT, WITHOUT ROWID;
CREATE TABLE setups (
	id INTEGER PRIMARY KEY,
	file TEXT NOT NULL,
	facts TEXT NOT NULL,              -- JSON of Facts
	facets TEXT NOT NULL,             -- a line for each value, and a line's end before and after
	look TEXT NOT NULL,               -- a look, see lookOf
	lights INTEGER NOT NULL, ceiling REAL NOT NULL, area REAL NOT NULL, ratio REAL NOT NULL, level REAL NOT NULL,
	minute INTEGER NOT NULL, lens REAL NOT NULL
) STRICT;
CREATE INDEX setups_file ON setups (file);
CREATE VIRTUAL TABLE words USING fts5 (name, lights, place, kit, look, notes,
	tokenize = "porter unicode61", prefix = '3');
`

// Library is an open index of one folder.
type Library struct {
	db   *sql.DB
	root string
}

// Open opens the index of a folder; at is where indexes are kept. One that is broken or of another
// version is made anew.
func Open(ctx context.Context, root, at string) (*Library, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return nil, err
	}
	if info, err := os.Stat(root); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s: there is no such folder", root)
	}
	if err := os.MkdirAll(at, 0o700); err != nil {
		return nil, err
	}
	sum := sha256.Sum256([]byte(root))
	path := filepath.Join(at, "library-"+hex.EncodeToString(sum[:8])+".db")
	l := &Library{root: root}
	for range 2 {
		if l.db, err = open(ctx, path); err == nil {
			return l, nil
		}
		if errors.Is(err, context.Canceled) {
			return nil, err
		}
		for _, end := range []string{"", "-wal", "-shm"} {
			if err := os.Remove(path + end); err != nil && !errors.Is(err, fs.ErrNotExist) {
				return nil, err
			}
		}
	}
	return nil, err
}

func open(ctx context.Context, path string) (*sql.DB, error) {
	full := filepath.ToSlash(path)
	if !strings.HasPrefix(full, "/") {
		full = "/" + full
	}
	u := url.URL{Scheme: "file", Path: full,
		RawQuery: "_txlock=immediate&_pragma=busy_timeout(5000)&_pragma=journal_mode(WAL)&_pragma=synchronous(NORMAL)"}
	db, err := sql.Open("sqlite", u.String())
	if err != nil {
		return nil, err
	}
	var have int
	if err = db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&have); err == nil && have != version {
		if have != 0 {
			err = fmt.Errorf("an index of version %d", have)
		} else {
			_, err = db.ExecContext(ctx, schema+fmt.Sprintf("PRAGMA user_version = %d", version))
		}
	}
	if err != nil {
		db.Close()
		return nil, err
	}
	return db, nil
}

// Close lets go of the index.
func (l *Library) Close() error { return l.db.Close() }

// Fresh says what Refresh did.
type Fresh struct {
	Files, Read, Gone int
	Skipped           []string // files that could not be read, each with why
}

// Refresh brings the index up to what stands in the folder: files that are new or changed are read,
// by their size and time; those that are gone go. It may be stopped; what was read stays. progress
// may be nil. Check: TestRefresh.
func (l *Library) Refresh(ctx context.Context, progress func(done, of int)) (*Fresh, error) {
	found, err := l.walk(ctx)
	if err != nil {
		return nil, err
	}
	out := &Fresh{Files: len(found)}
	known := map[string]string{}
	rows, err := l.db.QueryContext(ctx, "SELECT path, stamp FROM files")
	if err != nil {
		return nil, err
	}
	for rows.Next() {
		var p, s string
		if err := rows.Scan(&p, &s); err != nil {
			return nil, err
		}
		known[p] = s
	}
	if err := errors.Join(rows.Err(), rows.Close()); err != nil {
		return nil, err
	}
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback() // nothing once it is committed
	put, err := newPutter(ctx, tx)
	if err != nil {
		return nil, err
	}
	done := 0
	for path, stamp := range found {
		if done++; progress != nil {
			progress(done, len(found))
		}
		if known[path] == stamp {
			delete(known, path)
			continue
		}
		if ctx.Err() != nil {
			break
		}
		delete(known, path)
		out.Read++
		list, err := read(filepath.Join(l.root, filepath.FromSlash(path)))
		if err != nil {
			out.Skipped = append(out.Skipped, fmt.Sprintf("%s: %v", path, err))
		}
		if err := put.file(path, stamp, list); err != nil {
			return nil, err
		}
	}
	if ctx.Err() == nil {
		for path := range known {
			out.Gone++
			if err := put.gone(path); err != nil {
				return nil, err
			}
		}
	}
	return out, errors.Join(tx.Commit(), ctx.Err())
}

// walk finds the shoots and records of the folder, each with a stamp of its size and time. Folders
// that begin with a dot are not looked into; a record's own shoot files count as the record.
func (l *Library) walk(ctx context.Context) (map[string]string, error) {
	out := map[string]string{}
	var into func(dir, rel string) error
	into = func(dir, rel string) error {
		if err := ctx.Err(); err != nil {
			return err
		}
		list, _ := os.ReadDir(dir) // what cannot be looked into is not in the library
		record := slices.ContainsFunc(list, func(d fs.DirEntry) bool { return d.Name() == records.RecordName })
		for _, d := range list {
			name := d.Name()
			switch {
			case d.IsDir() && !strings.HasPrefix(name, "."):
				if err := into(filepath.Join(dir, name), rel+name+"/"); err != nil {
					return err
				}
			case !d.Type().IsRegular() || !strings.HasSuffix(name, ".yaml") || record && name != records.RecordName ||
				!record && filepath.Base(dir) == "kit":
			default:
				if info, err := d.Info(); err == nil {
					out[rel+name] = strconv.FormatInt(info.Size(), 10) + " " +
						strconv.FormatInt(info.ModTime().UnixNano(), 10)
				}
			}
		}
		return nil
	}
	return out, into(l.root, "")
}

// read gives the facts of every setup of a file; none for a file that is no shoot.
func read(path string) ([]Facts, error) {
	if filepath.Base(path) == records.RecordName {
		f, err := records.Open(path)
		if err != nil {
			return nil, err
		}
		job, list, err := f.Job(records.DialledName)
		if err != nil {
			return nil, err
		}
		if job == nil {
			return nil, list.Err()
		}
		return []Facts{factsOf(job.File, 0, f.Record)}, nil
	}
	if !store.IsShoot(path) {
		return nil, nil
	}
	s, err := store.Read(path, nil)
	if err != nil {
		return nil, err
	}
	f, _, _ := s.Parse() // what can be read of a file with mistakes is in the library
	var out []Facts
	for i := range f.Setups {
		out = append(out, factsOf(f, i, nil))
	}
	return out, nil
}

// putter writes to the index inside one transaction.
type putter struct {
	ctx                                  context.Context
	forget, forgetWords, stamp, set, say *sql.Stmt
	drop                                 *sql.Stmt
}

func newPutter(ctx context.Context, tx *sql.Tx) (*putter, error) {
	p := &putter{ctx: ctx}
	for _, s := range []struct {
		to   **sql.Stmt
		text string
	}{
		{to: &p.forgetWords, text: "DELETE FROM words WHERE rowid IN (SELECT id FROM setups WHERE file = ?)"},
		{to: &p.forget, text: "DELETE FROM setups WHERE file = ?"},
		{to: &p.drop, text: "DELETE FROM files WHERE path = ?"},
		{to: &p.stamp, text: "INSERT OR REPLACE INTO files VALUES (?, ?)"},
		{to: &p.set, text: "INSERT INTO setups (file, facts, facets, look, lights, ceiling, area, ratio, level, " +
			"minute, lens) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"},
		{to: &p.say, text: "INSERT INTO words (rowid, name, lights, place, kit, look, notes) " +
			"VALUES (?, ?, ?, ?, ?, ?, ?)"},
	} {
		var err error
		if *s.to, err = tx.PrepareContext(ctx, s.text); err != nil {
			return nil, err
		}
	}
	return p, nil
}

func (p *putter) gone(path string) error {
	for _, s := range []*sql.Stmt{p.forgetWords, p.forget, p.drop} {
		if _, err := s.Exec(path); err != nil {
			return err
		}
	}
	return nil
}

func (p *putter) file(path, stamp string, list []Facts) error {
	if err := p.gone(path); err != nil {
		return err
	}
	if _, err := p.stamp.Exec(path, stamp); err != nil {
		return err
	}
	for i := range list {
		f := &list[i]
		text, err := json.Marshal(f)
		if err != nil {
			return err
		}
		look := f.seen()
		facets := "\n"
		for _, x := range f.facets() {
			facets += x.line() + "\n"
		}
		r, err := p.set.Exec(path, string(text), facets, look.text(), f.Lights,
			f.Ceiling, f.Area, f.Ratio, f.Level, f.Minute, f.Lens)
		if err != nil {
			return err
		}
		id, err := r.LastInsertId()
		if err != nil {
			return err
		}
		w := f.words()
		if _, err := p.say.Exec(id, w[0], w[1], w[2], w[3], w[4], w[5]); err != nil {
			return err
		}
	}
	return nil
}
