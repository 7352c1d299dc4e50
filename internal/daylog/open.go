package daylog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"time"

	"modernc.org/sqlite" // SQLite in Go, so that one binary runs everywhere
)

// Name is the log's file in the shoot's folder.
const Name = "day.db"

// application marks the database as a halfstop log ('hsdl'; SQLite's application_id).
const application = 0x6873646c

// migrations make the database of each version from that of the one before; SQLite's user_version
// counts them.
var migrations = []string{`
CREATE TABLE entries (
	seq      INTEGER PRIMARY KEY AUTOINCREMENT,
	client   TEXT NOT NULL,
	number   INTEGER NOT NULL CHECK (number > 0),
	kind     TEXT NOT NULL,
	setup    TEXT NOT NULL,
	subject  TEXT NOT NULL,
	value    REAL,
	unit     TEXT NOT NULL,
	text     TEXT NOT NULL,
	detail   TEXT NOT NULL,
	reverses INTEGER REFERENCES entries (seq),
	who      TEXT NOT NULL,
	said     INTEGER NOT NULL,     -- milliseconds since 1970, by the device's clock
	"offset" INTEGER NOT NULL,     -- milliseconds to add to it
	received INTEGER NOT NULL,
	UNIQUE (client, number)
) STRICT;
CREATE INDEX entries_reverses ON entries (reverses) WHERE reverses IS NOT NULL;
CREATE TRIGGER entries_stay BEFORE UPDATE ON entries BEGIN SELECT RAISE (ABORT, 'an entry is never changed'); END;
CREATE TRIGGER entries_keep BEFORE DELETE ON entries BEGIN SELECT RAISE (ABORT, 'an entry is never deleted'); END;
`}

// Unusable says that what stands at the log's place cannot be used as one. Nothing was changed.
type Unusable struct {
	Path string
	Why  string
	Fix  string
}

func (e *Unusable) Error() string {
	return fmt.Sprintf("%s: %s. Nothing was changed; %s", e.Path, e.Why, e.Fix)
}

// ErrBusy says that another program is writing to the log and does not let go.
var ErrBusy = errors.New("another program is writing to the log and does not let go of it; try again in a moment")

// Log is an open log. Its methods may be called from several goroutines, and several programs may
// have one log open.
type Log struct {
	db   *sql.DB
	path string
	now  func() time.Time
}

// busyTime is how long another program's write is waited for.
const busyTime = 5 * time.Second

// Open opens the log at path, or makes a new one; its folder must be there.
//
// *Unusable where there is something else, a database that is broken, or one of a newer halfstop:
// none of them is touched; see SetAside.
func Open(ctx context.Context, path string) (*Log, error) {
	if info, err := os.Lstat(path); err == nil && !info.Mode().IsRegular() {
		return nil, &Unusable{path, "this is no plain file", "move it away, then a new log is begun"}
	} else if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if info, err := os.Stat(filepath.Dir(path)); err != nil || !info.IsDir() {
		return nil, fmt.Errorf("%s: there is no such folder", filepath.Dir(path))
	}
	full, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	full = filepath.ToSlash(full)
	if !strings.HasPrefix(full, "/") { // C:/…
		full = "/" + full
	}
	u := url.URL{Scheme: "file", Path: full,
		RawQuery: fmt.Sprintf(
			"_txlock=immediate&_pragma=busy_timeout(%d)&_pragma=synchronous(FULL)"+
				"&_pragma=fullfsync(1)&_pragma=foreign_keys(1)", busyTime.Milliseconds())}
	db, err := sql.Open("sqlite", u.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(4)
	l := &Log{db: db, path: path, now: time.Now}
	if err := l.begin(ctx); err != nil {
		db.Close()
		return nil, l.plain(err)
	}
	return l, nil
}

// begin checks the database and brings it to the present version.
func (l *Log) begin(ctx context.Context) error {
	var app, version, tables int
	for _, q := range []struct {
		ask  string
		into *int
	}{{"PRAGMA application_id", &app}, {"PRAGMA user_version", &version}, {"SELECT count(*) FROM sqlite_schema",
		&tables}} {
		if err := l.db.QueryRowContext(ctx, q.ask).Scan(q.into); err != nil {
			return err
		}
	}
	switch {
	case tables == 0 && app == 0:
	case app != application:
		return &Unusable{l.path, "this database belongs to another program", "move it away, then a new log is begun"}
	case version > len(migrations):
		return &Unusable{l.path,
			fmt.Sprintf("this log was written by a newer halfstop (version %d of the log; this one knows %d)",
				version, len(migrations)), "use the newer halfstop"}
	default:
		var said string
		if err := l.db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&said); err != nil {
			return err
		}
		if said != "ok" {
			return l.broken(said)
		}
	}
	if version == len(migrations) && app == application {
		return nil
	}
	var mode string
	// some network folders cannot; then it is a rollback journal, as whole
	if err := l.db.QueryRowContext(ctx, "PRAGMA journal_mode = WAL").Scan(&mode); err != nil {
		return err
	}
	return l.migrate(ctx)
}

// migrate brings the database to the present version, in one transaction; one of an earlier version
// is copied before.
func (l *Log) migrate(ctx context.Context) error {
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	var version int
	if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if version > 0 && version < len(migrations) {
		if err := tx.Rollback(); err != nil {
			return err
		}
		if _, err := l.db.ExecContext(ctx, "VACUUM INTO ?", freeName(fmt.Sprintf("%s.version-%d", l.path,
			version))); err != nil {
			return err
		}
		if tx, err = l.db.BeginTx(ctx, nil); err != nil {
			return err
		}
		defer tx.Rollback()
		// another program may have done it
		if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
			return err
		}
	}
	for ; version < len(migrations); version++ {
		if _, err := tx.ExecContext(ctx, migrations[version]); err != nil {
			return err
		}
	}
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", application,
		len(migrations))); err != nil {
		return err
	}
	return tx.Commit()
}

func (l *Log) broken(why string) error {
	return &Unusable{l.path, "this log is broken: " + why,
		"halfstop log --set-aside puts it aside under another name and begins a new one"}
}

// plain puts an error of the database into words.
func (l *Log) plain(err error) error {
	var x *sqlite.Error
	if !errors.As(err, &x) {
		return err
	}
	switch x.Code() & 0xff { // the primary result code
	case 5, 6: // SQLITE_BUSY, SQLITE_LOCKED
		return fmt.Errorf("%s: %w", l.path, ErrBusy)
	case 8, 14, 3: // SQLITE_READONLY, SQLITE_CANTOPEN, SQLITE_PERM
		return fmt.Errorf("%s: the log cannot be written: writing is not allowed there", l.path)
	case 13: // SQLITE_FULL
		return fmt.Errorf("%s: the disk is full; the entry was not kept", l.path)
	case 11: // SQLITE_CORRUPT
		return l.broken("its pages do not fit together")
	case 26: // SQLITE_NOTADB
		return l.broken("it is no database")
	case 10: // SQLITE_IOERR
		return fmt.Errorf("%s: the disk is full, or does not read or write as it should; nothing is lost, "+
			"and nothing new is kept", l.path)
	}
	return fmt.Errorf("%s: %w", l.path, err)
}

// SetAside renames a log that cannot be used, with what belongs to it, and gives its new name;
// nothing is deleted. The caller has made sure that no program has it open.
func SetAside(path string) (string, error) {
	to := freeName(path + ".old")
	if err := os.Rename(path, to); err != nil {
		return "", err
	}
	for _, end := range []string{"-wal", "-shm"} {
		if err := os.Rename(path+end, to+end); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return to, err
		}
	}
	return to, nil
}

// freeName gives name, or name with a number behind it, where nothing stands.
func freeName(name string) string {
	free := name
	for n := 2; ; n++ {
		if _, err := os.Lstat(free); errors.Is(err, fs.ErrNotExist) {
			return free
		}
		free = fmt.Sprintf("%s-%d", name, n)
	}
}

// Close lets go of the log.
func (l *Log) Close() error { return l.db.Close() }
