package answer

import (
	"cmp"
	"context"
	"fmt"
	"image"
	"math"
	"strings"
	"time"

	"halfstop/photo"
	"halfstop/testframe"
)

// FrameBudget is how long a test frame may take, with its prediction, before what is known by then
// is told: nobody in front of a sitter waits longer.
const FrameBudget = 20 * time.Second

// First is a first look at a photograph, within milliseconds: how bright the frame and its points
// are against the plan where the plan's camera looks, or where a mark says. Lights are not told
// apart.
func (p *FramePlan) First(img image.Image, x photo.Exif, by *FrameMark) *FrameTest {
	out, _ := p.exposed(img, x)
	at := testframe.Shift{}
	if m := p.tracked(out, by); m != nil {
		at = *m
	}
	g := testframe.Glance(out.Photo, out.Predicted, at)
	out.First, out.Shift = true, [2]float64{at.X, at.Y}
	fit := testframe.Fitted{Gain: g.Gain}
	out.White = fit.Whiteness()
	if !p.coarse { // of a point it has a pixel or two
		out.spots(p.stage, at)
	}
	if g.Told < 0.02 {
		out.Notes = append(out.Notes, "first look: hardly a place of it is neither black nor white")
		return out
	}
	words := fmt.Sprintf("first look: the frame is %s, most of it between %+.1f and %+.1f st", levelWords(g.Level),
		g.Low, g.High)
	if p.coarse {
		words += "; by a coarse prediction, the points follow"
	}
	out.Notes = append(out.Notes, strings.ReplaceAll(words, "-", "−"))
	return out
}

// levelWords says how a level is against its prediction.
func levelWords(stops float64) string {
	switch {
	case math.Abs(stops) < 0.1:
		return "as bright as predicted"
	case stops > 0:
		return fmt.Sprintf("%.1f st brighter than predicted", stops)
	}
	return fmt.Sprintf("%.1f st darker than predicted", -stops)
}

// FrameAsk is a photograph to be held against a setup.
type FrameAsk struct {
	Setup int
	Image image.Image
	Exif  photo.Exif
	Mark  *FrameMark
	Work  FrameWorkTest
	Plan  *FramePlan                    // its predicted picture where that is at hand; nil: it is computed
	As    func(p *FramePlan) *FramePlan // the lights as they were dialled; nil: as planned
	First func(t *FrameTest)            // is told the first look; nil: nobody waits for it
}

// HoldFrame holds a photograph against a setup, a first look first. It takes budget at the most:
// what is not done by then is left, the first look is the answer and says so. The plan is what
// there is for further frames; nil: its picture was not done. The error is ctx's, or there is no
// picture to be had.
func (j *Job) HoldFrame(ctx context.Context, a FrameAsk, budget time.Duration) (*FrameTest, *FramePlan, error) {
	bounded, stop := context.WithTimeout(ctx, budget)
	defer stop()
	as := func(p *FramePlan) *FramePlan {
		if a.As == nil {
			return p
		}
		return a.As(p)
	}
	step := func(from, to float64) func(done, of int) {
		return func(done, of int) {
			if a.Work.Step != nil && of > 0 {
				a.Work.Step(int(1000*(from+(to-from)*float64(done)/float64(of))), 1000)
			}
		}
	}
	var first *FrameTest
	late := func(err error) (*FrameTest, error) {
		over := ctx.Err() == nil && bounded.Err() != nil // a tracer that is stopped has an error of its own
		if over && first != nil {
			first.Notes = append(first.Notes, fmt.Sprintf("its lights could not be told apart in %.0f s",
				budget.Seconds()))
			return first, nil
		}
		if over {
			return nil, fmt.Errorf("in %v its picture could not be predicted: %w", budget.Round(time.Millisecond),
				bounded.Err())
		}
		return nil, cmp.Or(ctx.Err(), err)
	}
	glance := func(p *FramePlan) {
		first = as(p).First(a.Image, a.Exif, a.Mark)
		if a.First != nil {
			shown := *first
			a.First(&shown)
		}
	}
	plan := a.Plan
	if plan == nil {
		work := a.Work
		work.Step = step(0, 0.7)
		var err error
		if plan, err = j.FramePlan(bounded, a.Setup, work, glance); err != nil {
			t, err := late(err)
			return t, nil, err
		}
	}
	glance(plan)
	t, err := as(plan).Test(bounded, a.Image, a.Exif, a.Mark, step(0.7, 1))
	if err != nil {
		t, err = late(err)
	}
	return t, plan, err
}
