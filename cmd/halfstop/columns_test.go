package main

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"

	"halfstop/diag"
	"halfstop/internal/zoo"
	"halfstop/meter"
	"halfstop/ways"
)

// TestRoomColumns: what meter, balance and ways print of every room of the zoo fits 100 columns
// where nothing says another width, and 80 and 60 where COLUMNS does. Each room is worked out once,
// by few paths: how good the figures are changes no widths.
func TestRoomColumns(t *testing.T) {
	rooms, err := zoo.Load("../../zoo")
	if err != nil {
		t.Fatal(err)
	}
	if len(rooms) < 10 {
		t.Fatalf("%d rooms", len(rooms))
	}
	few := meter.Work{Seed: 1, Samples: 64, Error: firstError}
	for _, room := range rooms {
		t.Run(room.Name, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			m, list, err := room.Job.Meter(ctx, 0, few)
			if err != nil || m == nil {
				t.Fatal(err, list.Text())
			}
			if err := m.Compare(ctx); err != nil {
				t.Fatal(err)
			}
			b, more, err := room.Job.Balance(ctx, 0, few)
			if err != nil || b == nil {
				t.Fatal(err, more.Text())
			}
			f, last, err := room.Job.Shoot().Find(ctx, 0, ways.Work{Meter: few})
			if err != nil || f == nil {
				t.Fatal(err, last.Text())
			}
			list = append(append(diag.List{}, list...), append(more, last...)...)
			for columns, said := range map[int]string{100: "", 80: "80", 60: "60"} {
				var out, errs bytes.Buffer
				e := newEnv(strings.NewReader(""), &out, &errs)
				if e.columns = columnsFor(&out, said); e.columns != columns {
					t.Fatalf("COLUMNS=%q: %d columns", said, e.columns)
				}
				(&meterOptions{}).print(e, m)
				(&meterOptions{lights: true}).print(e, m)
				e.printBalance(b)
				e.printMissed(f)
				e.printWays(f)
				e.warn(list)
				if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), "Computed to ") {
					t.Error("how finely it is computed is not said")
				}
				lines := strings.Split(out.String()+errs.String(), "\n")
				if len(lines) < 30 {
					t.Errorf("%d lines", len(lines))
				}
				for _, line := range lines {
					if n := utf8.RuneCountInString(line); n > columns {
						t.Errorf("%d columns of %d: %s", n, columns, line)
					}
				}
			}
		})
	}
}
