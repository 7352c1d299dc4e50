package papers

import (
	"context"
	"fmt"
	"image"
	"slices"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/meter"
)

// Work says how a shoot is gathered for papers.
type Work struct {
	Letter        bool
	Printed, Made string // as in Shoot
	Day           answer.DayWork
	Meter         func(setup int) meter.Work
	// Picture gives a predicted picture of a setup, long pixels on its longer side; nil: the papers
	// go without. What it fails with is told by Say, and the papers go without that picture.
	Picture func(ctx context.Context, setup, long int) (image.Image, error)
	Say     func(text string)
	Step    func(what string, done, of int)
}

// Lit reports whether any of the papers needs readings, plans or pictures; the others need the day
// and the kit alone and are there at once.
func Lit(chosen []Paper) bool { return has(chosen, "looks", "plans", "build", "change", "log", "risk") }

func has(chosen []Paper, names ...string) bool {
	return slices.ContainsFunc(chosen, func(p Paper) bool { return slices.Contains(names, p.Name) })
}

// Gather computes what the chosen papers need: the day and the kit always, readings and plans where
// a paper has them, pictures for the look list and the plans.
//
// The messages are what the day finds. Errors: a day or a setup that cannot be computed, which the
// error names; ctx ended.
func Gather(ctx context.Context, j *answer.Job, chosen []Paper, w Work) (*Shoot, diag.List, error) {
	step := w.Step
	if step == nil {
		step = func(string, int, int) {}
	}
	s := &Shoot{File: j.File, Printed: w.Printed, Made: w.Made, Letter: w.Letter}
	n := len(j.File.Setups) + 1
	step("planning the day", 0, n)
	d, found, err := j.Day(ctx, w.Day)
	if err == nil {
		s.Day = d
		s.Pack, err = j.Pack(ctx)
	}
	if err == nil && has(chosen, "kit") {
		err = j.StandIns(ctx, s.Pack, meter.Work{Seed: w.Day.Seed}, func(done, of int) {
			step("lighting again with what could stand in", 0, n)
		})
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, found, err
	}
	s.Checks = j.Accept(j.DayChecks())
	long := 320 // what a plan shows
	if has(chosen, "looks") {
		long = 640 // 90 pixels an inch over the width of a page
	}
	lit, pictures := Lit(chosen), w.Picture != nil && has(chosen, "looks", "plans")
	for i := range j.File.Setups {
		st := Setup{Setup: &j.File.Setups[i]}
		if lit {
			step("computing "+st.Setup.Name, i+1, n)
			if pictures {
				if st.Picture, err = w.Picture(ctx, i, long); err != nil && ctx.Err() == nil && w.Say != nil {
					w.Say(fmt.Sprintf("%s: no picture: %v", st.Setup.Name, err))
				}
			}
			done, list, err := j.Papers(ctx, i, answer.PlanWork{Meter: w.Meter(i), Picture: st.Picture,
				Letter: w.Letter, Sheet: i + 1, Of: len(j.File.Setups)})
			if err == nil {
				err = ctx.Err()
			}
			if err != nil {
				return nil, found, err
			}
			if done == nil {
				return nil, append(found, list...), list.Err()
			}
			st.Readings, st.Plan, st.Drawing = done.Readings, done.Plan, done.Drawing
			st.Messages, st.Assumed = j.Accept(list), done.Metered.Assumed()
		}
		s.Setups = append(s.Setups, st)
	}
	return s, found, nil
}
