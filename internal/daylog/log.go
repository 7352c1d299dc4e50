package daylog

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"time"
)

// Gap says that an entry came before one that the same client must send first.
type Gap struct {
	Client string
	Want   int64 // the number that is waited for
}

func (e *Gap) Error() string {
	return fmt.Sprintf("entry %d of %s is not there yet; send it first", e.Want, e.Client)
}

// Conflict says that another entry has the same client and number.
type Conflict struct{ Have Entry }

func (e *Conflict) Error() string {
	return fmt.Sprintf("entry %d of %s is there already, and says another thing", e.Have.Number, e.Have.Client)
}

// Add puts an entry into the log and gives it as it stands there. When it returns the entry is on
// the medium.
//
// An entry that is there already, by client and number, is given as it stands: what had no answer
// may be sent again. *Gap where one before it is missing, *Conflict where the one there says
// another thing, *Invalid, ErrBusy. Check: TestOnceAndInOrder, TestKilled.
func (l *Log) Add(ctx context.Context, e Entry) (Entry, error) {
	list, err := l.AddAll(ctx, []Entry{e})
	if err != nil {
		return Entry{}, err
	}
	return list[0], nil
}

// AddAll adds entries in their order, all or none: what a device collected while it had no link.
func (l *Log) AddAll(ctx context.Context, list []Entry) (out []Entry, err error) {
	err = l.write(ctx, func(tx *sql.Tx) error {
		out = nil
		for _, e := range list {
			got, err := l.add(ctx, tx, e)
			if err != nil {
				return err
			}
			out = append(out, got)
		}
		return nil
	})
	return out, err
}

// AddNext adds an entry with its client's next number: for a program that writes to the log itself,
// and sends nothing twice.
func (l *Log) AddNext(ctx context.Context, e Entry) (out Entry, err error) {
	err = l.write(ctx, func(tx *sql.Tx) error {
		if e.Number, err = next(ctx, tx, e.Client); err != nil {
			return err
		}
		out, err = l.add(ctx, tx, e)
		return err
	})
	return out, err
}

// Correct adds a reversal of entry seq and, in its place, e: both or none. e's number is given, as
// by AddNext; its Reverses is not set.
func (l *Log) Correct(ctx context.Context, seq int64, e Entry, why string) (out Entry, err error) {
	err = l.write(ctx, func(tx *sql.Tx) error {
		have, err := query(ctx, tx, "WHERE e.seq = ?", seq)
		if err == nil && len(have) > 0 && have[0].Kind != e.Kind {
			err = invalid("replaces: entry %d is a %s, this is a %s; reverse that one and log this by itself", seq,
				have[0].Kind, e.Kind)
		}
		if err != nil {
			return err
		}
		n, err := next(ctx, tx, e.Client)
		if err != nil {
			return err
		}
		r := Entry{Client: e.Client, Number: n, Kind: Reversal, Reverses: seq, Text: why, Who: e.Who, Said: e.Said,
			OffsetMS: e.OffsetMS}
		if _, err := l.add(ctx, tx, r); err != nil {
			return err
		}
		e.Number = n + 1
		out, err = l.add(ctx, tx, e)
		return err
	})
	return out, err
}

// Next gives the number of a client's next entry.
func (l *Log) Next(ctx context.Context, client string) (n int64, err error) {
	n, err = next(ctx, l.db, client)
	return n, l.plain(err)
}

type asker interface {
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
}

func next(ctx context.Context, db asker, client string) (n int64, err error) {
	err = db.QueryRowContext(ctx, "SELECT coalesce(max(number), 0) + 1 FROM entries WHERE client = ?", client).Scan(&n)
	return n, err
}

// write runs one transaction; it begins as a writer, so that what it reads stays true.
func (l *Log) write(ctx context.Context, do func(tx *sql.Tx) error) error {
	tx, err := l.db.BeginTx(ctx, nil)
	if err != nil {
		return l.plain(err)
	}
	defer tx.Rollback()
	if err := do(tx); err != nil {
		return l.plain(err)
	}
	return l.plain(tx.Commit())
}

func (l *Log) add(ctx context.Context, tx *sql.Tx, e Entry) (Entry, error) {
	if e.Said.IsZero() {
		e.Said = l.now()
	}
	if err := e.check(); err != nil {
		return e, err
	}
	have, err := query(ctx, tx, "WHERE e.client = ? AND e.number = ?", e.Client, e.Number)
	if err != nil {
		return e, err
	}
	if len(have) > 0 {
		if !have[0].same(&e) {
			return e, &Conflict{have[0]}
		}
		return have[0], nil
	}
	want, err := next(ctx, tx, e.Client)
	if err != nil {
		return e, err
	}
	if e.Number != want {
		return e, &Gap{e.Client, want}
	}
	var reverses any
	if e.Kind == Reversal {
		of, err := query(ctx, tx, "WHERE e.seq = ?", e.Reverses)
		if err != nil {
			return e, err
		}
		if len(of) == 0 {
			return e, invalid("reverses: there is no entry %d", e.Reverses)
		}
		if !of[0].Stands {
			return e, invalid("reverses: entry %d is reversed already, by entry %d", e.Reverses, of[0].By)
		}
		reverses = e.Reverses
	}
	res, err := tx.ExecContext(ctx, `INSERT INTO entries
		(client, number, kind, setup, subject, value, unit, text, detail, reverses, who, said, "offset", received)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		e.Client, e.Number, string(e.Kind), e.Setup, e.Subject, e.Value, e.Unit, e.Text, string(e.Detail), reverses,
		e.Who, e.Said.UnixMilli(), e.OffsetMS, l.now().UnixMilli())
	if err != nil {
		return e, err
	}
	seq, err := res.LastInsertId()
	if err != nil {
		return e, err
	}
	list, err := query(ctx, tx, "WHERE e.seq = ?", seq)
	if err != nil || len(list) != 1 {
		return e, errors.Join(err, errors.New("an entry that was added is not there"))
	}
	return list[0], nil
}

// Filter chooses entries; its zero value is all that stand.
type Filter struct {
	After   int64 // entries behind this Seq only
	Kind    Kind
	Setup   string
	Subject string
	All     bool // also those that were reversed, and reversals
}

// List gives entries in the order in which they were (At), those of one instant as they came.
func (l *Log) List(ctx context.Context, f Filter) ([]Entry, error) {
	list, err := query(ctx, l.db,
		`WHERE e.seq > ? AND (? = '' OR e.kind = ?) AND (? = '' OR e.setup = ?) AND (? = '' OR e.subject = ?) ORDER BY e.said + e."offset", e.seq`,
		f.After, string(f.Kind), string(f.Kind), f.Setup, f.Setup, f.Subject, f.Subject)
	if err != nil {
		return nil, l.plain(err)
	}
	out := []Entry{}
	for _, e := range list {
		if f.All || e.Stands && e.Kind != Reversal {
			out = append(out, e)
		}
	}
	return out, nil
}

// query reads entries. An entry stands unless a reversal that stands is of it. A reversal comes
// after what it reverses, so that going back from the newest each is known before it is asked for.
func query(ctx context.Context, db asker, where string, args ...any) (out []Entry, err error) {
	by, err := reversals(ctx, db)
	if err != nil {
		return nil, err
	}
	rows, err := db.QueryContext(ctx,
		`SELECT e.seq, e.client, e.number, e.kind, e.setup, e.subject, e.value, e.unit, e.text, e.detail, coalesce(e.reverses, 0), e.who, e.said, e."offset", e.received FROM entries e `+where, args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var e Entry
		var detail string
		var said, received int64
		if err := rows.Scan(&e.Seq, &e.Client, &e.Number, &e.Kind, &e.Setup, &e.Subject, &e.Value, &e.Unit, &e.Text,
			&detail, &e.Reverses, &e.Who, &said, &e.OffsetMS, &received); err != nil {
			return nil, err
		}
		if detail != "" {
			e.Detail = []byte(detail)
		}
		e.Said, e.Received = time.UnixMilli(said), time.UnixMilli(received)
		e.At = e.Said.Add(time.Duration(e.OffsetMS) * time.Millisecond)
		e.By = by[e.Seq]
		e.Stands = e.By == 0
		out = append(out, e)
	}
	return out, rows.Err()
}

// reversals gives the standing reversal of each entry that has one.
func reversals(ctx context.Context, db asker) (map[int64]int64, error) {
	rows, err := db.QueryContext(ctx, "SELECT seq, reverses FROM entries WHERE reverses IS NOT NULL ORDER BY seq DESC")
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	by := map[int64]int64{}
	for rows.Next() {
		var seq, of int64
		if err := rows.Scan(&seq, &of); err != nil {
			return nil, err
		}
		if by[seq] == 0 {
			by[of] = seq
		}
	}
	return by, rows.Err()
}
