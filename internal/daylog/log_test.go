package daylog

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"
)

// TestMain writes to a log until it is killed, when the test below starts this program for that.
func TestMain(m *testing.M) {
	if path := os.Getenv("HALFSTOP_TEST_LOG"); path != "" {
		writeOn(path)
		return
	}
	os.Exit(m.Run())
}

// writeOn adds entries of three clients at once and says each that is acknowledged.
func writeOn(path string) {
	ctx := context.Background()
	l, err := Open(ctx, path)
	if err != nil {
		fmt.Println("!", err)
		os.Exit(1)
	}
	var all sync.WaitGroup
	for i := range 3 {
		all.Go(func() {
			client := fmt.Sprint("phone-", i)
			for {
				e, err := l.AddNext(ctx, Entry{Client: client, Kind: Reading, Subject: "key side", Value: ptr(5.6),
					Unit: "f"})
				if err != nil {
					fmt.Println("!", err)
					os.Exit(1)
				}
				os.Stdout.WriteString(fmt.Sprintf("%s %d %d\n", client, e.Number, e.Seq))
			}
		})
	}
	all.Wait()
}

func ptr(v float64) *float64 { return &v }

func open(t *testing.T, path string) *Log {
	t.Helper()
	l, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { l.Close() })
	return l
}

func reading(client string, n int64, f float64) Entry {
	return Entry{Client: client, Number: n, Kind: Reading, Setup: "One", Subject: "key side", Value: ptr(f),
		Unit: "f", Who: "A", Said: time.UnixMilli(1_000_000 + n)}
}

// TestOnceAndInOrder: an entry comes once, however often it is sent; a gap waits for what is
// missing; one number never says two things.
func TestOnceAndInOrder(t *testing.T) {
	ctx, l := t.Context(), open(t, filepath.Join(t.TempDir(), Name))
	var gap *Gap
	if _, err := l.Add(ctx, reading("p", 2, 4)); !errors.As(err, &gap) || gap.Want != 1 {
		t.Errorf("out of order: %v", err)
	}
	one, err := l.Add(ctx, reading("p", 1, 4))
	if err != nil || one.Seq != 1 || !one.Stands {
		t.Fatal(one, err)
	}
	again, err := l.Add(ctx, reading("p", 1, 4))
	if err != nil || again.Seq != one.Seq {
		t.Error("sent again:", again, err)
	}
	var other *Conflict
	if _, err := l.Add(ctx, reading("p", 1, 5.6)); !errors.As(err, &other) || *other.Have.Value != 4 {
		t.Errorf("another value under one number: %v", err)
	}
	// A queue that was sent in part before comes whole; one with a mistake not at all.
	if _, err := l.AddAll(ctx, []Entry{reading("p", 1, 4), reading("p", 2, 4.5), reading("p", 3, 5)}); err != nil {
		t.Error(err)
	}
	if _, err := l.AddAll(ctx, []Entry{reading("p", 4, 4), reading("p", 6, 4.5)}); !errors.As(err, &gap) ||
		gap.Want != 5 {
		t.Error(err)
	}
	if n, err := l.Next(ctx, "p"); n != 4 || err != nil {
		t.Error(n, err)
	}
	// Two phones that log the same point: both are there.
	if _, err := l.Add(ctx, reading("q", 1, 8)); err != nil {
		t.Error(err)
	}
	list, err := l.List(ctx, Filter{Subject: "key side"})
	if err != nil || len(list) != 4 {
		t.Error(list, err)
	}
}

// TestReversal: nothing is ever changed or deleted; what is reversed does not stand, and stands
// again when the reversal is reversed.
func TestReversal(t *testing.T) {
	ctx, l := t.Context(), open(t, filepath.Join(t.TempDir(), Name))
	one, err := l.Add(ctx, reading("p", 1, 4))
	if err != nil {
		t.Fatal(err)
	}
	two, err := l.Correct(ctx, one.Seq, reading("p", 0, 5.6), "misread")
	if err != nil {
		t.Fatal(err)
	}
	list, _ := l.List(ctx, Filter{})
	if len(list) != 1 || *list[0].Value != 5.6 || list[0].Seq != two.Seq {
		t.Errorf("%+v", list)
	}
	all, _ := l.List(ctx, Filter{All: true})
	i := slices.IndexFunc(all, func(e Entry) bool { return e.Seq == one.Seq })
	if len(all) != 3 || all[i].Stands || all[i].By == 0 || *all[i].Value != 4 {
		t.Errorf("%+v", all)
	}
	undo := Entry{Client: "p", Number: 4, Kind: Reversal, Reverses: all[i].By, Said: time.UnixMilli(1)}
	if _, err := l.Add(ctx, undo); err != nil {
		t.Error(err)
	}
	if list, _ = l.List(ctx, Filter{}); len(list) != 2 {
		t.Errorf("a reversed reversal: %+v", list)
	}
	var bad *Invalid
	note := Entry{Client: "p", Kind: Note, Text: "sun", Said: time.UnixMilli(1)}
	if _, err := l.Correct(ctx, two.Seq, note, "replaced"); !errors.As(err, &bad) {
		t.Errorf("a note instead of a reading: %v", err)
	}
	for _, e := range []Entry{{Reverses: 99}, {Reverses: undo.Reverses}} {
		e.Client, e.Number, e.Kind = "p", 5, Reversal
		if _, err := l.Add(ctx, e); !errors.As(err, &bad) {
			t.Errorf("%+v: %v", e, err)
		}
	}
	for _, q := range []string{"UPDATE entries SET value = 1", "DELETE FROM entries"} {
		if _, err := l.db.ExecContext(ctx, q); err == nil {
			t.Errorf("%s was done", q)
		}
	}
}

// TestClocks: times of a device whose clock is wrong are told by the log's clock.
func TestClocks(t *testing.T) {
	ctx, l := t.Context(), open(t, filepath.Join(t.TempDir(), Name))
	now := time.Date(2026, 3, 14, 15, 0, 0, 0, time.UTC)
	slow := now.Add(-2 * time.Hour) // the phone's clock at the same instant
	early := Entry{Client: "p", Kind: Note, Text: "first", Said: slow.Add(-time.Minute),
		OffsetMS: now.Sub(slow).Milliseconds()}
	late := Entry{Client: "q", Kind: Note, Text: "second", Said: now}
	for _, e := range []Entry{late, early} {
		if _, err := l.AddNext(ctx, e); err != nil {
			t.Fatal(err)
		}
	}
	list, err := l.List(ctx, Filter{})
	if err != nil || len(list) != 2 || list[0].Text != "first" || !list[0].At.Equal(now.Add(-time.Minute)) {
		t.Errorf("%+v %v", list, err)
	}
}

// TestRefused: what is no entry is refused with its reason, and nothing of it is kept.
func TestRefused(t *testing.T) {
	ctx, l := t.Context(), open(t, filepath.Join(t.TempDir(), Name))
	for name, e := range map[string]Entry{
		"no client":        {Kind: Note, Text: "x"},
		"a client's name":  {Client: "a b", Kind: Note, Text: "x"},
		"kind":             {Client: "p", Kind: "lumen", Text: "x"},
		"no value":         {Client: "p", Kind: Reading, Subject: "key"},
		"no point":         {Client: "p", Kind: Reading, Value: ptr(4), Unit: "f"},
		"f/0":              {Client: "p", Kind: Reading, Subject: "key", Value: ptr(0), Unit: "f"},
		"not a number":     {Client: "p", Kind: Reading, Subject: "key", Value: ptr(math.NaN())},
		"unit":             {Client: "p", Kind: Reading, Subject: "key", Value: ptr(4), Unit: "foot"},
		"control":          {Client: "p", Kind: Note, Text: "a\x1b[2J"},
		"a line in a name": {Client: "p", Kind: Tick, Subject: "a\nb"},
		"no UTF-8":         {Client: "p", Kind: Note, Text: "\xff"},
		"long":             {Client: "p", Kind: Note, Text: strings.Repeat("x", 4001)},
		"detail":           {Client: "p", Kind: Note, Text: "x", Detail: []byte("{")},
		"empty note":       {Client: "p", Kind: Note},
		"reverses":         {Client: "p", Kind: Note, Text: "x", Reverses: 1},
		"offset":           {Client: "p", Kind: Note, Text: "x", OffsetMS: math.MinInt64},
		"year":             {Client: "p", Kind: Note, Text: "x", Said: time.Date(-5, 1, 1, 0, 0, 0, 0, time.UTC)},
	} {
		var bad *Invalid
		if _, err := l.AddNext(ctx, e); !errors.As(err, &bad) || bad.What == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
	if list, _ := l.List(ctx, Filter{All: true}); len(list) != 0 {
		t.Error(list)
	}
}

// TestUnusable: what is no log of this version is said, and every byte of it stays.
func TestUnusable(t *testing.T) {
	ctx := t.Context()
	whole := func(t *testing.T) []byte {
		path := filepath.Join(t.TempDir(), Name)
		l := open(t, path)
		for n := range int64(40) {
			if _, err := l.Add(ctx, reading("p", n+1, 4)); err != nil {
				t.Fatal(err)
			}
		}
		l.Close() // the last one folds the WAL into the database
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	newer := func(t *testing.T) []byte {
		path := filepath.Join(t.TempDir(), Name)
		l := open(t, path)
		if _, err := l.db.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d", len(migrations)+1)); err != nil {
			t.Fatal(err)
		}
		l.Close()
		b, _ := os.ReadFile(path)
		return b
	}
	foreign := func(t *testing.T) []byte {
		path := filepath.Join(t.TempDir(), Name)
		l := open(t, path)
		if _, err := l.db.ExecContext(ctx, "PRAGMA application_id = 7"); err != nil {
			t.Fatal(err)
		}
		l.Close()
		b, _ := os.ReadFile(path)
		return b
	}
	for name, x := range map[string]struct {
		bytes func(t *testing.T) []byte
		say   string
	}{
		"newer":     {newer, "newer halfstop"},
		"foreign":   {foreign, "another program"},
		"garbage":   {func(*testing.T) []byte { return bytes.Repeat([]byte("garbage "), 1000) }, "broken"},
		"cut short": {func(t *testing.T) []byte { b := whole(t); return b[:len(b)/2] }, "broken"},
		"overwritten": {func(t *testing.T) []byte {
			b := whole(t)
			for i := 4096; i < len(b); i++ {
				b[i] = byte(i * 7)
			}
			return b
		}, "broken"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), Name)
			was := x.bytes(t)
			if err := os.WriteFile(path, was, 0o644); err != nil {
				t.Fatal(err)
			}
			_, err := Open(ctx, path)
			var u *Unusable
			if !errors.As(err, &u) || !strings.Contains(err.Error(), x.say) {
				t.Fatalf("%v, want '… %s …'", err, x.say)
			}
			if is, _ := os.ReadFile(path); !bytes.Equal(is, was) {
				t.Error("it was changed")
			}
			to, err := SetAside(path)
			if err != nil {
				t.Fatal(err)
			}
			if is, _ := os.ReadFile(to); !bytes.Equal(is, was) {
				t.Error("what was set aside is another")
			}
			if _, err := open(t, path).Add(ctx, reading("p", 1, 4)); err != nil {
				t.Error(err)
			}
		})
	}
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, Name), 0o755); err != nil {
		t.Fatal(err)
	}
	var u *Unusable
	if _, err := Open(ctx, filepath.Join(dir, Name)); !errors.As(err, &u) {
		t.Error(err)
	}
	if _, err := Open(ctx, filepath.Join(dir, "none", Name)); err == nil {
		t.Error("a log without its folder")
	}
}

// TestMigration: a log of an earlier version is copied, then brought to the present one, and loses
// nothing.
func TestMigration(t *testing.T) {
	ctx, path := t.Context(), filepath.Join(t.TempDir(), "a #1?%20", Name) // a name that a URL would read otherwise
	if err := os.Mkdir(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	l := open(t, path)
	if _, err := l.Add(ctx, reading("p", 1, 4)); err != nil {
		t.Fatal(err)
	}
	l.Close()
	if _, err := os.Stat(path); err != nil {
		t.Fatal(err)
	}
	defer func(m []string) { migrations = m }(migrations)
	// no STRICT column without a type: it fails
	migrations = append(slices.Clone(migrations), "CREATE TABLE more (x) STRICT")
	if _, err := Open(ctx, path); err == nil {
		t.Fatal("a migration that fails was taken")
	}
	migrations[1] = "CREATE TABLE more (x TEXT) STRICT"
	l = open(t, path)
	if list, err := l.List(ctx, Filter{}); err != nil || len(list) != 1 {
		t.Error(list, err)
	}
	if copies, _ := os.ReadDir(filepath.Dir(path)); !slices.ContainsFunc(copies,
		func(e os.DirEntry) bool { return e.Name() == Name+".version-1" }) {
		t.Error(copies)
	}
}

// TestLocked: a second program that holds the log is waited for, then said.
func TestLocked(t *testing.T) {
	ctx, path := t.Context(), filepath.Join(t.TempDir(), Name)
	l, other := open(t, path), open(t, path)
	tx, err := other.db.BeginTx(ctx, nil)
	if err != nil {
		t.Fatal(err)
	}
	short, stop := context.WithTimeout(ctx, 200*time.Millisecond)
	defer stop()
	if _, err := l.Add(short, reading("p", 1, 4)); err == nil {
		t.Error("written through a lock")
	}
	time.AfterFunc(300*time.Millisecond, func() { tx.Rollback() })
	if _, err := l.Add(ctx, reading("p", 1, 4)); err != nil {
		t.Error("it was not waited for:", err)
	}
}

// TestKilled kills a writer at random instants: every entry that it acknowledged is there, and the
// database is whole.
func TestKilled(t *testing.T) {
	rounds := 8
	if os.Getenv("HALFSTOP_LONG") != "" {
		rounds = 250
	}
	exe, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	path, rng := filepath.Join(t.TempDir(), Name), rand.New(rand.NewPCG(1, 2))
	said := 0
	for n := range rounds {
		cmd := exec.Command(exe)
		cmd.Env = append(os.Environ(), "HALFSTOP_TEST_LOG="+path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		in := bufio.NewScanner(out)
		var lines []string
		for in.Scan() {
			if lines = append(lines, in.Text()); len(lines) == 1 {
				time.AfterFunc(time.Duration(rng.IntN(120))*time.Millisecond, func() { _ = cmd.Process.Kill() })
			}
		}
		_ = cmd.Wait()
		if len(lines) == 0 {
			t.Fatalf("kill %d: nothing was written", n)
		}
		l, err := Open(t.Context(), path)
		if err != nil {
			t.Fatalf("kill %d: %v", n, err)
		}
		var check string
		if err := l.db.QueryRow("PRAGMA integrity_check").Scan(&check); err != nil || check != "ok" {
			t.Fatalf("kill %d: %s %v", n, check, err)
		}
		list, err := l.List(t.Context(), Filter{All: true})
		if err != nil {
			t.Fatal(err)
		}
		there := map[string]bool{}
		last := map[string]int64{}
		for _, e := range list {
			there[fmt.Sprintf("%s %d %d", e.Client, e.Number, e.Seq)] = true
			last[e.Client] = max(last[e.Client], e.Number)
		}
		for _, line := range lines {
			if strings.HasPrefix(line, "!") || !there[line] {
				t.Fatalf("kill %d: acknowledged and not there: %s", n, line)
			}
		}
		sum := int64(0)
		for _, n := range last {
			sum += n
		}
		if int(sum) != len(list) {
			t.Fatalf("kill %d: %d entries, numbers up to %v", n, len(list), last)
		}
		said += len(lines)
		l.Close()
	}
	t.Logf("%d entries were acknowledged over %d kills", said, rounds)
}

func TestCSV(t *testing.T) {
	e := reading("p", 1, 5.6)
	e.Text = "a \"b\",\nc"
	var b bytes.Buffer
	if err := WriteCSV(&b, []Entry{e}); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) != 2 || len(rows[0]) != len(Columns) || rows[1][7] != e.Text || rows[1][5] != "5.6" {
		t.Errorf("%v %v", rows, err)
	}
}

// FuzzEntry: whatever an entry says, it is refused with a reason or comes back as it was.
func FuzzEntry(f *testing.F) {
	f.Add("p", "reading", "One", "key", 5.6, "f", "", "{}", int64(0))
	f.Add("p", "note", "", "", 0.0, "", "a\nb", "", int64(-3_600_000))
	l, err := Open(context.Background(), filepath.Join(f.TempDir(), Name))
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { l.Close() })
	f.Fuzz(func(t *testing.T, client, kind, setup, subject string, value float64, unit, text, detail string,
		offset int64) {
		e := Entry{Client: client, Kind: Kind(kind), Setup: setup, Subject: subject, Value: &value, Unit: unit,
			Text: text, Detail: []byte(detail), OffsetMS: offset, Said: time.UnixMilli(5)}
		got, err := l.AddNext(context.Background(), e)
		var bad *Invalid
		if err != nil {
			if !errors.As(err, &bad) {
				t.Fatalf("%+v: %v", e, err)
			}
			return
		}
		if e.Number = got.Number; !got.same(&e) {
			t.Fatalf("%+v came back as %+v", e, got)
		}
	})
}
