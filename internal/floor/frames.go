package floor

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"slices"
	"time"

	"golang.org/x/image/draw"

	"halfstop/answer"
	"halfstop/internal/daylog"
	"halfstop/internal/share"
	"halfstop/internal/watch"
	"halfstop/photo"
)

// Bounds of test frames.
const (
	mostShots   = 24 // kept in memory; the log keeps all
	mostShown   = 12
	shotSide    = 960 // longer side of what is shown of a photograph, pixels
	frameClient = "frames"
	clockNoted  = 2 * time.Minute // under it a camera's clock is taken as right
	clockAlike  = 3 * time.Second // so far two frames agree on a camera's clock: what a transfer takes
)

// shot is a photograph of the watched folder.
type shot struct {
	id      string // of its bytes
	name    string
	arrived time.Time
	live    bool
	taken   time.Time // by the camera's clock; zero: the file does not say
	exif    photo.Exif
	img     image.Image // small
	jpeg    []byte
	problem string

	setup    string // that it was held against …
	key      string // … and what that rested on
	test     *answer.FrameTest
	none     string // why there is no test
	images   map[string][]byte
	pictures int    // counts images
	ended    bool   // nothing more is worked out of it
	stopped  string // who stopped the work; "": nobody
}

// Watch watches a folder for test frames; "" ends that. Frames that were taken in stay in the log.
func (f *Floor) Watch(dir string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if dir == "" {
		f.folder = nil
	} else if f.folder == nil || f.folder.Dir() != dir {
		f.folder, f.shots, f.folderNo = watch.New(dir), nil, ""
	}
	f.said()
}

// Watched is the folder that is watched; "": none.
func (f *Floor) Watched() string {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.folder == nil {
		return ""
	}
	return f.folder.Dir()
}

// watching looks at the watched folder until the end.
func (f *Floor) watching(ctx context.Context) {
	t := time.NewTicker(lookAgain)
	defer t.Stop()
	for {
		f.lookOnce()
		select {
		case <-ctx.Done():
			return
		case <-t.C:
		}
	}
}

func (f *Floor) lookOnce() {
	defer f.recovered("looking for test frames")
	f.mu.Lock()
	w := f.folder
	f.mu.Unlock()
	if w == nil {
		return
	}
	found, err := w.Look(time.Now(), mostShots)
	var fresh []*shot
	for i := range found {
		fresh = append(fresh, shotOf(&found[i]))
	}
	no := ""
	if err != nil {
		no = err.Error()
	}
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.folder != w || len(fresh) == 0 && no == f.folderNo {
		return
	}
	f.folderNo = no
	for _, s := range fresh {
		f.shots = slices.DeleteFunc(f.shots, func(x *shot) bool { return x.id == s.id })
		f.shots = append(f.shots, s)
	}
	f.shots = f.shots[max(0, len(f.shots)-mostShots):]
	f.Changed()
}

// shotOf takes a file in: small, with what it says of itself.
func shotOf(x *watch.Found) *shot {
	s := &shot{name: x.Name, arrived: x.Arrived, live: x.Live, problem: x.Problem}
	if x.Image == nil {
		s.id = idOf(sha256.Sum256([]byte(fmt.Sprint(x.Name, " ", x.Arrived.UnixNano()))))
		return s
	}
	s.id, s.exif = idOf(x.Sum), x.Exif
	s.taken, _ = takenAt(&x.Exif)
	b := x.Image.Bounds()
	k := min(1, float64(shotSide)/float64(max(b.Dx(), b.Dy())))
	small := image.NewRGBA(image.Rect(0, 0, max(1, int(k*float64(b.Dx()))), max(1, int(k*float64(b.Dy())))))
	draw.BiLinear.Scale(small, small.Bounds(), x.Image, b, draw.Src, nil) // smaller: a mean of all pixels
	s.img = small
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: 85}); err == nil {
		s.jpeg = out.Bytes()
	}
	return s
}

func idOf(sum [32]byte) string { return hex.EncodeToString(sum[:6]) }

// takenAt is the time that a file says, by the camera's clock: with its offset to UTC, else as
// local time here.
func takenAt(x *photo.Exif) (time.Time, bool) {
	if t, err := time.Parse("2006:01:02 15:04:05-07:00", x.Taken+x.Offset); err == nil {
		return t.Local(), true
	}
	t, err := time.ParseInLocation("2006:01:02 15:04:05", x.Taken, time.Local)
	return t, err == nil && t.Year() > 1970
}

// cameraBehind is by how much the camera's clock is behind the program's: as somebody said, else
// by two frames after each other that came while the folder was watched, as far apart as they were
// taken: of a card that is copied later they come closer together. known: by either.
func cameraBehind(shots []*shot, entries []daylog.Entry) (by time.Duration, said, known bool) {
	for i := len(entries) - 1; i >= 0; i-- {
		if o := ownOf(&entries[i]); o.Floor == "camera" {
			return time.Duration(o.Seconds) * time.Second, true, true
		}
	}
	var last *shot
	for _, s := range shots {
		if !s.live || s.taken.IsZero() {
			continue
		}
		if last != nil && last.taken != s.taken {
			a, b := last.arrived.Sub(last.taken), s.arrived.Sub(s.taken)
			if (a - b).Abs() <= max(clockAlike, s.taken.Sub(last.taken).Abs()/5) {
				by, known = min(a, b).Round(time.Second), true
			}
		}
		last = s
	}
	if by.Abs() < clockNoted {
		by = 0
	}
	return by, false, known
}

// when is the time at which a frame was taken, as well as it is known: a clock of which nothing is
// known is not believed against the hour at which the frame came.
func (s *shot) when(behind time.Duration, known bool) time.Time {
	at := s.taken.Add(behind)
	if s.taken.IsZero() || s.live && !known && s.arrived.Sub(at).Abs() > clockNoted {
		return s.arrived
	}
	return at
}

// frames assigns what is new to a setup and writes it into the log; it reports whether it did.
func (w *worker) frames(ctx context.Context, entries []daylog.Entry) bool {
	shots := w.f.shotList()
	behind, _, known := cameraBehind(shots, entries)
	did := false
	for _, s := range shots {
		if s.problem != "" || frameEntry(entries, s.id) != nil {
			continue
		}
		l, err := w.f.open(ctx)
		if err != nil {
			return false
		}
		setup, how := w.assign(s, s.when(behind, known), entries)
		e := daylog.Entry{Client: frameClient, Kind: daylog.Frame, Subject: cut(s.name, 190), Setup: setup,
			Who: "folder", Said: s.when(behind, known), Text: how, Detail: own{Floor: "frame", Sum: s.id}.detail()}
		if y := e.Said.Year(); y < 1971 || y > 9000 {
			e.Said = time.Now()
		}
		if _, err := l.AddNext(ctx, e); err != nil {
			return false
		}
		did = true
	}
	return did
}

func cut(s string, most int) string {
	r := []rune(s)
	return string(r[max(0, len(r)-most):])
}

func (f *Floor) shotList() []*shot {
	f.mu.Lock()
	defer f.mu.Unlock()
	return slices.Clone(f.shots)
}

// frameEntry is the entry of a frame that stands.
func frameEntry(entries []daylog.Entry, id string) *daylog.Entry {
	for i := len(entries) - 1; i >= 0; i-- {
		if e := &entries[i]; e.Kind == daylog.Frame && ownOf(e).Sum == id {
			return e
		}
	}
	return nil
}

// assign finds the setup that a frame is of: by its settings, and among those of like settings by
// its time.
func (w *worker) assign(s *shot, at time.Time, entries []daylog.Entry) (setup, how string) {
	all := make([]int, len(w.job.File.Setups))
	for i := range all {
		all[i] = i
	}
	var before []daylog.Entry
	for i := range entries {
		if !entries[i].At.After(at) {
			before = append(before, entries[i])
		}
	}
	list := w.job.FrameCandidates(all, s.exif)
	on := w.onFor(before)
	name := func(i int) string { return w.job.File.Setups[i].Name }
	switch {
	case len(list) == 0:
		return "", "no setup has a camera"
	case slices.Contains(list, on) && len(list) < len(all):
		return name(on), "by its time and its settings"
	case slices.Contains(list, on):
		return name(on), "by its time"
	case len(list) == 1:
		how = "by its settings"
	default:
		how = "by its settings, and the nearest of them in time"
	}
	best := list[0]
	for _, i := range list { // the next of them by the plan, else the last
		if on >= 0 && i >= on {
			best = i
			break
		}
		best = i
	}
	return name(best), how
}

// onFor is the setup that was on when the log had these entries; -1: none was left.
func (w *worker) onFor(entries []daylog.Entry) int {
	if w.plan == nil {
		return w.on(entries)
	}
	for _, s := range w.plan.Setups {
		if s.In && !ticked(entries, s.Name+": shoot") {
			return w.setupNamed(s.Name)
		}
	}
	return -1
}

func (w *worker) setupNamed(name string) int {
	for i := range w.job.File.Setups {
		if w.job.File.Setups[i].Name == name {
			return i
		}
	}
	return -1
}

// toTest is the newest frame that is not held against its prediction yet, with its setup.
func (w *worker) toTest(entries []daylog.Entry) (*shot, int) {
	shots := w.f.shotList()
	m := marks{w.rev, shots, entries}
	for i := len(shots) - 1; i >= 0; i-- {
		s := shots[i]
		e := frameEntry(entries, s.id)
		if s.problem != "" || s.img == nil || e == nil {
			continue
		}
		setup := w.setupNamed(e.Setup)
		if setup < 0 || s.setup == e.Setup && s.key == m.restOn(e) && s.ended {
			continue
		}
		return s, setup
	}
	return nil, -1
}

// grown is a small picture four times as wide.
func grown(img image.Image) image.Image {
	b := img.Bounds()
	out := image.NewNRGBA(image.Rect(0, 0, 4*b.Dx(), 4*b.Dy()))
	draw.CatmullRom.Scale(out, out.Bounds(), img, b, draw.Src, nil)
	return out
}

// showFrames puts the frames into the view, the newest first.
func (w *worker) showFrames(v *View, entries []daylog.Entry) {
	f := w.f
	f.mu.Lock()
	defer f.mu.Unlock()
	v.Watching = f.folder != nil
	if f.folderNo != "" {
		v.Troubles = append(v.Troubles, f.folderNo)
	}
	behind, said, known := cameraBehind(f.shots, entries)
	v.Camera, v.CameraSaid = int(behind.Seconds()), said
	m := marks{w.rev, f.shots, entries}
	for i := len(f.shots) - 1; i >= 0 && len(v.Frames) < mostShown; i-- {
		s := f.shots[i]
		x := Frame{ID: s.id, Name: s.name, At: s.when(behind, known).UnixMilli(), Problem: s.problem,
			Causes: []FrameCause{}, Lights: []FrameLight{}, Points: []FramePoint{}, Notes: []string{}}
		key := ""
		if e := frameEntry(entries, s.id); e != nil {
			key = m.restOn(e)
			x.Seq, x.Setup, x.How = e.Seq, e.Setup, e.Text
			if by := m.of(e); by != nil && s.test != nil && s.test.ByMark {
				x.Marked = by.Text + ", by " + by.Who
				if ownOf(by).Sum != s.id {
					x.Marked += ", and followed from there"
				}
			}
		}
		if s.exif.Complete() {
			x.Settings = fmt.Sprintf("f/%.2g, %s, ISO %.0f", s.exif.FNumber, shutterWords(s.exif.Shutter), s.exif.ISO)
		}
		switch {
		case s.problem != "" || x.Setup == "":
		case s.setup != x.Setup || s.key != key:
			x.Text = "it waits until the picture of its setup is predicted"
			if x.Working = f.holding == s; x.Working {
				x.Text, x.Doing = "being held against its prediction", int(f.held.Load())
			}
		case s.none != "":
			x.Problem = s.none
		case s.test != nil:
			x.tell(s.test)
			x.Pictures = s.pictures
			switch {
			case !s.test.First:
			case s.ended && s.stopped != "":
				x.Text, x.Stopped = "a first look: stopped by "+s.stopped, true
			case s.ended:
				x.Text, x.Stopped = "a first look", true
			default:
				x.Text, x.Working, x.Doing = "a first look; lights are being told apart", true, int(f.held.Load())
			}
		}
		v.Frames = append(v.Frames, x)
	}
}

func shutterWords(t float64) string {
	if t < 0.3 {
		return fmt.Sprintf("1/%.0f s", 1/t)
	}
	return fmt.Sprintf("%.3g s", t)
}

// tell puts a test into words and numbers.
func (x *Frame) tell(t *answer.FrameTest) {
	x.Ready = true
	x.Text = "as planned, as far as the frame can tell"
	if n := len(t.Causes); n == 1 {
		x.Text = "one thing is not as planned"
	} else if n > 1 {
		x.Text = fmt.Sprint(n, " things are not as planned")
	}
	x.Clipped, x.Floor, x.Rest = rounded(100*t.Clipped, 1), rounded(100*t.Floor, 1), rounded(100*t.Rest, 0)
	x.White = rounded(t.White, 3)
	x.Notes = append(x.Notes, t.Notes...)
	for _, c := range t.Causes {
		y := FrameCause{Light: c.Light, Text: c.Words, Chance: rounded(100*c.Chance, 0)}
		if a := math.Abs(c.Stops); a > 0.05 && a < 7 {
			y.Stops = rounded(c.Stops, 1)
		}
		x.Causes = append(x.Causes, y)
	}
	for _, l := range t.Lights {
		x.Lights = append(x.Lights, FrameLight{Light: l.Name, Stops: rounded(l.Stops, 2), Share: rounded(l.Share, 2),
			Told: l.Noise <= 0.35, Dark: l.Stops <= -3.5, On: l.Plan == "on"})
	}
	for _, p := range t.Points {
		if p.Out {
			continue
		}
		x.Points = append(x.Points, FramePoint{Name: p.Name, X: rounded(p.X, 3), Y: rounded(p.Y, 3),
			Stops: rounded(p.Stops, 1), Off: rounded(p.Off, 2), Colour: rounded(p.DUV, 3), Clip: p.Clip,
			Floor: p.Stops < -6.5})
	}
}

// image is a picture of a frame: 'photo', 'predicted' or 'difference'.
func (f *Floor) image(id, kind string) ([]byte, string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	for _, s := range f.shots {
		if s.id != id {
			continue
		}
		if kind == "photo" {
			return s.jpeg, "image/jpeg"
		}
		return s.images[kind], "image/png"
	}
	return nil, ""
}

// Assign says which setup a frame is of: the entry that said another is reversed, and stays.
func (f *Floor) Assign(ctx context.Context, d share.Device, a Assign) error {
	l, err := f.open(ctx)
	if err != nil {
		return f.refused(err)
	}
	list, err := l.List(ctx, daylog.Filter{Kind: daylog.Frame})
	if err != nil {
		return f.refused(err)
	}
	job, _ := f.opt.Shoot()
	known := job != nil && slices.ContainsFunc(job.File.Setups, func(s stageSetup) bool { return s.Name == a.Setup })
	e := frameEntry(list, a.Frame)
	switch {
	case e == nil:
		return &share.Refusal{Status: 404, Code: "not-found", Text: "that frame is not in the log"}
	case !known:
		return &share.Refusal{Status: 422, Code: "not-understood", Text: "there is no setup called " + short(a.Setup)}
	case e.Setup == a.Setup:
		return nil
	}
	n := daylog.Entry{Client: "floor-" + d.ID, Kind: daylog.Frame, Subject: e.Subject, Setup: a.Setup, Who: d.Name,
		Said: e.At, Text: "as " + d.Name + " said", Detail: e.Detail}
	if _, err := l.Correct(ctx, e.Seq, n, "it is of "+a.Setup); err != nil {
		return f.refused(err)
	}
	f.Changed()
	return nil
}

// SetCamera says by how many seconds the camera's clock is behind the program's; under 0: ahead.
func (f *Floor) SetCamera(ctx context.Context, d share.Device, c CameraClock) error {
	if c.Behind < -14*86400 || c.Behind > 14*86400 {
		return &share.Refusal{Status: 422, Code: "not-understood", Text: "a clock that is off by weeks: set it"}
	}
	way := "behind"
	if c.Behind < 0 {
		way = "ahead"
	}
	_, err := f.add(ctx, daylog.Entry{Kind: daylog.Note,
		Text:   fmt.Sprintf("the camera's clock is %v %s", (time.Duration(c.Behind) * time.Second).Abs(), way),
		Detail: own{Floor: "camera", Seconds: c.Behind}.detail()}, d)
	return err
}
