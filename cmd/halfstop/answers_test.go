//go:build unix

package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

func processor() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// firstWrite notes the processor time at which the first line came.
type firstWrite struct {
	at   time.Duration
	text strings.Builder
}

func (w *firstWrite) Write(b []byte) (int, error) {
	if w.at == 0 {
		w.at = processor()
	}
	return w.text.Write(b)
}

const answersHead = `
The whole of a command on a shoot file, as ` + "`make answers`" + ` runs it: processor seconds until its first
line and until its end, halved as two idle cores would take them; rooms in turn, the lower of two runs. On a
loaded machine all are too long: compare rows. The aim is 1 s and 3 s. Where a room needs more than 16,384 paths a point,
'computed to' is over the 0.03 st asked, as the answer itself says.

| room | meter: first line | end | computed to, st | balance: first line | end | ways: first | end |
|---|---|---|---|---|---|---|---|
`

// TestAnswers measures how long answers take and writes it into docs/speed.md. It holds nothing:
// seconds are the machine's.
func TestAnswers(t *testing.T) {
	if os.Getenv("HALFSTOP_ANSWERS") == "" {
		t.Skip("measures only: make answers")
	}
	rooms, err := filepath.Glob("../../zoo/*.yaml")
	if err != nil || len(rooms) < 10 {
		t.Fatal(err, len(rooms))
	}
	doc, ends := answersHead, map[string][]float64{}
	for _, room := range append([]string{""}, rooms...) {
		line := "| demonstration (3 setups)"
		if room != "" {
			line = "| " + strings.TrimSuffix(filepath.Base(room), ".yaml")
		}
		for _, c := range []string{"meter", "balance", "ways"} {
			var first, end [2]float64
			said := ""
			for i := range first {
				args := []string{c}
				if room != "" {
					args = append(args, room)
				}
				start, out := processor(), &firstWrite{}
				if code := execute(context.Background(), args, strings.NewReader(""), out, io.Discard); code > 1 {
					t.Fatal(room, c, code)
				}
				end[i], first[i] = (processor()-start).Seconds()/2, (out.at-start).Seconds()/2
				if _, rest, ok := strings.Cut(out.text.String(), "Computed to "); ok {
					said, _, _ = strings.Cut(rest, " ")
				}
			}
			line += fmt.Sprintf(" | %.1f s | %.1f s", min(first[0], first[1]), min(end[0], end[1]))
			if c == "meter" {
				line += " | " + said
			}
			ends[c] = append(ends[c], min(end[0], end[1]))
		}
		t.Log(line)
		doc += line + " |\n"
	}
	doc += "\n"
	for _, c := range []string{"meter", "balance", "ways"} {
		all := slices.Sorted(slices.Values(ends[c]))
		over := 0
		for _, s := range all {
			if s > 3 {
				over++
			}
		}
		doc += fmt.Sprintf("`%s`: median %.1f s, worst %.1f s, %d of %d over 3 s.\n", c, all[len(all)/2],
			all[len(all)-1], over, len(all))
	}
	const file, begin, finish = "../../docs/speed.md", "<!-- answers -->\n", "<!-- /answers -->"
	old, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, ok := strings.Cut(string(old), begin)
	_, after, closed := strings.Cut(rest, finish)
	if !ok || !closed {
		t.Fatalf("%s has no place for the table", file)
	}
	if err := os.WriteFile(file, []byte(before+begin+doc+finish+after), 0o644); err != nil {
		t.Fatal(err)
	}
}
