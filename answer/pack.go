package answer

import (
	"context"
	"fmt"

	"halfstop/day"
	"halfstop/diag"
	"halfstop/kit"
)

// Pack is the kit list of a shoot, as `pack --json` prints it.
type Pack struct {
	Version int    `json:"version"`
	Title   string `json:"title,omitempty"`
	*day.Pack
	Messages diag.List `json:"messages"`
}

// Says tells in one line what the kit comes to: cases, kilograms, cubic metres, ways up in a lift.
func (p *Pack) Says() string {
	several := func(n int, what string) string {
		if n == 1 {
			return "1 " + what
		}
		return fmt.Sprintf("%d %ss", n, what)
	}
	return fmt.Sprintf("%s, %.0f kg in all, about %.1f m³ of van, %s", several(len(p.Cases), "case"), p.WeightKg,
		p.VolumeM3, several(p.Trips, "lift trip"))
}

// Pack lists what the shoot needs, as its day is planned.
func (j *Job) Pack(ctx context.Context) (*Pack, error) {
	k := kit.Merge(kit.Catalogue(), j.File.Kit)
	plan, list := day.FromShoot(j.File, &k)
	d, err := plan.Solve(ctx)
	if err != nil {
		return nil, err
	}
	p := day.FromDay(j.File, &k, plan, d)
	return &Pack{1, j.File.Shoot.Title, p, list}, nil
}

// Short adds to the messages what is short, with what could stand in.
func (p *Pack) Short() diag.List {
	for _, it := range p.Items {
		if it.Hire == 0 {
			continue
		}
		m := diag.Message{Severity: diag.Finding, Code: "pack.short", Text: counted(it), Fix: "hire it"}
		if it.Instead != "" {
			m.Fix = "hire it, or use " + it.Instead + " (" + it.Cost + ")"
		}
		p.Messages = append(p.Messages, m)
	}
	return p.Messages
}

// counted says what is short.
func counted(it day.Item) string {
	return fmt.Sprintf("%s: %d needed at once, %d in the kit", it.Name, it.Need, it.Have)
}
