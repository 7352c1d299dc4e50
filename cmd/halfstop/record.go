package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/answer"
	"halfstop/diag"
	"halfstop/figure"
	"halfstop/internal/daylog"
	"halfstop/internal/demo"
	"halfstop/internal/records"
	"halfstop/internal/store"
	"halfstop/meter"
	q "halfstop/quantity"
	"halfstop/record"
	"halfstop/render"
	"halfstop/shoot"
	"halfstop/yamltext"
)

type recordOptions struct {
	work
	out    string
	photos []string
	frames []string
	long   int
	json   bool
}

func recordCommand(e *env) *cobra.Command {
	c := command(e, words{use: "record [SHOOT]", most: 1, short: "keep how a setup was really lit",
		long: `record writes a folder under records/ beside the shoot, one a setup: as planned, as dialled and as
metered (from the log of the day), the room and the hour, what the readings taught, the look as it
came out, the computed picture and its layers light by light, with checksums for sha256sum -c. It is
plain YAML and standard pictures (docs/record.md). It comes whole or not at all, and nothing is ever
written over. A record is a shoot of its own: open it, frame it, relight it.`}, &recordOptions{})
	c.AddCommand(command(e, words{use: "check RECORD", least: 1, most: 1,
		short: "hold a record's files against its checksums"}, recordCheck{}))
	return c
}

func (o *recordOptions) flags(f *pflag.FlagSet) {
	o.work.flags(f)
	f.StringVarP(&o.out, "output", "o", "", "folder to write into; default: records beside the shoot")
	f.StringSliceVar(&o.photos, "photo", nil, "a photograph of the set to keep with it; may be given again")
	f.StringSliceVar(&o.frames, "frame", nil, "a frame that was shot, to keep with it; may be given again")
	f.IntVar(&o.long, "size", 960, "longer side of the kept picture, pixels")
	flagJSON(f, &o.json)
}

// recordJSON is what `record --json` prints.
type recordJSON struct {
	Version int            `json:"version"`
	Records []recordedJSON `json:"records"`
}

type recordedJSON struct {
	Setup   string  `json:"setup"`
	Folder  string  `json:"folder"`
	Width   int     `json:"width"`
	Height  int     `json:"height"`
	Layers  int     `json:"layers"`
	Bytes   int     `json:"layer_bytes"`
	Within  float64 `json:"each_number_within"`
	Metered int     `json:"points_metered"`
}

func (o *recordOptions) run(ctx context.Context, e *env, args []string) error {
	if err := o.check(); err != nil {
		return err
	}
	if o.long < 64 || o.long > 4096 {
		return badInput(fmt.Errorf("--size %d: give 64 to 4096 pixels", o.long))
	}
	b := &recorder{o: o, e: e}
	if err := b.read(ctx, args); err != nil {
		return err
	}
	setups, err := b.job.Setups(o.setup)
	if err != nil {
		return badInput(err)
	}
	var kept []records.File
	for _, p := range append(slices.Clone(o.photos), o.frames...) {
		data, err := store.ReadPart(p, mostFile)
		if err != nil {
			return badInput(err)
		}
		kind := "photos/"
		if slices.Contains(o.frames, p) {
			kind = "frames/"
		}
		kept = append(kept, records.File{Name: kind + filepath.Base(p), Data: data})
	}
	out := recordJSON{Version: 1, Records: []recordedJSON{}}
	for _, i := range setups {
		one, err := b.record(ctx, i, kept)
		if err != nil {
			return err
		}
		out.Records = append(out.Records, *one)
		if !o.json {
			fmt.Fprintf(e.out, "%s: %s, %d layers of %d × %d, %.1f MB, each number within %.2g %%; %d points metered\n",
				one.Folder, one.Setup, one.Layers, one.Width, one.Height, float64(one.Bytes)/1e6, one.Within*100,
				one.Metered)
		}
	}
	if o.json {
		return e.json(out)
	}
	return nil
}

// recorder makes records of one shoot.
type recorder struct {
	o     *recordOptions
	e     *env
	job   *answer.Job
	src   []byte // the shoot file's text
	dir   string // of the shoot; empty: the demonstration or standard input
	kit   []shoot.KitFile
	log   []daylog.Entry // what stands
	reads []answer.Read
	named map[string][]byte // files that the shoot named, as they were read
}

// read loads the shoot and its log.
func (b *recorder) read(ctx context.Context, args []string) error {
	s := &store.Shoot{Name: demo.Name, Src: demo.Shoot()}
	files := func(name string) ([]byte, error) { return fs.ReadFile(demo.FS(), name) }
	if len(args) > 0 {
		var err error
		if s, err = store.Read(args[0], b.e.in); err != nil {
			return badInput(err)
		}
		files = func(name string) ([]byte, error) { return s.ReadFile(name, mostFile) }
	}
	b.named = map[string][]byte{}
	f, doc, list := s.Parse()
	b.job = &answer.Job{File: f, Doc: doc, Files: func(name string) ([]byte, error) {
		data, err := files(name)
		if err == nil {
			b.named[name] = data
		}
		return data, err
	}}
	if err := b.e.fail(list); err != nil {
		return err
	}
	b.e.warn(list)
	b.src, b.dir, b.kit = s.Src, s.Dir, s.Kit
	path := filepath.Join(s.Dir, daylog.Name)
	if _, err := os.Stat(path); s.Dir == "" || err != nil {
		return nil
	}
	l, err := daylog.Open(ctx, path)
	if err != nil {
		return badInput(err)
	}
	defer l.Close()
	if b.log, err = l.List(ctx, daylog.Filter{}); err != nil {
		return badInput(err)
	}
	b.reads, err = readsOf(ctx, path)
	return badInput(err)
}

// of reports whether a line of the log is of a setup: by its name, or without one where the shoot
// has no other.
func (b *recorder) of(setup, name string) bool {
	return strings.EqualFold(setup, name) || setup == "" && len(b.job.File.Setups) == 1
}

// record keeps one setup.
func (b *recorder) record(ctx context.Context, setup int, kept []records.File) (*recordedJSON, error) {
	planned := b.job.File.Setups[setup]
	text, logged, notes, err := b.dialled(setup)
	if err != nil {
		return nil, badInput(err)
	}
	f, doc, list := shoot.Parse(records.DialledName, text, shoot.Options{Kit: b.kit})
	if err := b.e.fail(list); err != nil {
		return nil, err
	}
	job := &answer.Job{File: f, Doc: doc, Files: b.job.Files}
	w := record.Work{Planned: &planned, Logged: logged}
	for _, x := range b.log {
		if x.Kind == daylog.Reading && x.Unit == "f" && x.Value != nil && b.of(x.Setup, planned.Name) && !alone(&x) {
			w.Reads = append(w.Reads, record.Read{Point: x.Subject, N: q.FNumber(*x.Value),
				When: x.At.UTC().Format(time.RFC3339)})
		}
	}
	if len(b.reads) > 0 {
		p := b.e.progress("learning")
		w.Learned, err = b.job.Learn(ctx, b.reads, answer.LearnWork{Seed: b.o.seed, Progress: p.step})
		p.end()
		if err != nil {
			return nil, badInput(err)
		}
	}
	made, err := one(ctx, b.e, &b.o.work, "metering", planned.Name,
		func(ctx context.Context, step step) (*record.Made, diag.List, error) {
			w.Meter = meter.Work{Seed: b.o.seed, Progress: step, Samples: 1 << 14, Error: 0.02}
			return record.Make(ctx, job, 0, w)
		})
	if err != nil {
		return nil, err
	}
	r := made.Record
	r.Program, r.Made = "halfstop "+strings.Fields(version())[0], time.Now().UTC().Format(time.RFC3339)
	r.Missing = notes
	for _, x := range b.log {
		if !b.of(x.Setup, planned.Name) && x.Setup != "" {
			continue
		}
		l := record.Entry{At: x.At.UTC().Format(time.RFC3339), Kind: string(x.Kind), Subject: x.Subject, Unit: x.Unit,
			Text: x.Text, Who: x.Who}
		if x.Value != nil {
			l.Value = math.Round(*x.Value*1e4) / 1e4
		}
		r.Log = append(r.Log, l)
	}
	files, err := b.pictures(ctx, job, r)
	if err != nil {
		return nil, err
	}
	for _, k := range kept {
		says := "photograph"
		if strings.HasPrefix(k.Name, "frames/") {
			says = "frame"
		}
		r.Pictures = append(r.Pictures, record.Picture{File: k.Name, Says: says})
	}
	files = append(files, kept...)
	for _, k := range b.kit {
		files = append(files, records.File{Name: "kit/" + filepath.Base(k.Name), Data: k.Src})
	}
	for name, data := range b.named {
		files = append(files, records.File{Name: filepath.ToSlash(filepath.Clean(name)), Data: data})
	}
	files = append(files, records.File{Name: records.DialledName, Data: text},
		records.File{Name: records.PlannedName, Data: b.src},
		records.File{Name: records.RecordName, Data: append([]byte(recordHead), r.Encode()...)})
	if len(b.log) > 0 {
		var csv bytes.Buffer
		if err := daylog.WriteCSV(&csv, b.log); err != nil {
			return nil, err
		}
		files = append(files, records.File{Name: "log.csv", Data: csv.Bytes()})
	}
	dir := b.o.out
	if dir == "" {
		dir = filepath.Join(b.dir, "records")
	}
	path, err := records.Write(dir, records.Slug(r.Date, r.Setup), files)
	if err != nil {
		return nil, badInput(err)
	}
	out := &recordedJSON{Setup: r.Setup, Folder: path}
	for _, x := range files {
		if x.Name == records.LayersName {
			out.Bytes = len(x.Data)
		}
	}
	if r.Layers != nil {
		l := r.Layers
		out.Width, out.Height, out.Layers, out.Within = l.Width, l.Height, len(l.Lights), l.Within
	}
	for _, p := range r.Points {
		if p.Metered != "" {
			out.Metered++
		}
	}
	return out, nil
}

// recordHead stands at the top of a record.
const recordHead = `# How one setup was really lit. dialled.yaml is the setup as it was dialled, planned.yaml the
# shoot as it was planned, layers.exr the picture light by light, SHA256SUMS what 'sha256sum -c' checks.
# shoot.yaml is a working copy of dialled.yaml: it may be changed. Lengths are metres, levels stops to
# mid-grey.
`

func alone(x *daylog.Entry) bool {
	var d struct {
		Alone string `json:"alone"`
	}
	return json.Unmarshal(x.Detail, &d) == nil && d.Alone != ""
}

// dialled is the text of a shoot with this setup alone, every light and the camera set as the log
// says; logged are those it says, notes what of the log could not be set.
func (b *recorder) dialled(setup int) (text []byte, logged map[string]bool, notes []string, err error) {
	doc, logged := b.job.Doc, map[string]bool{}
	for i := len(b.job.File.Setups) - 1; i >= 0 && err == nil; i-- {
		if i != setup {
			text, err = doc.Delete(fmt.Sprintf("setups[%d]", i))
			if err == nil {
				doc, _ = yamltext.Parse(records.DialledName, text)
			}
		}
	}
	if err != nil {
		return nil, nil, nil, err
	}
	name := b.job.File.Setups[setup].Name
	lights := b.job.File.Setups[setup].Lights
	set := map[string]string{}
	for _, x := range b.log {
		if x.Kind == daylog.Dial && b.of(x.Setup, name) {
			set[strings.ToLower(x.Subject)] = x.Text
		}
	}
	for _, subject := range slices.Sorted(maps.Keys(set)) {
		value := set[subject]
		var edits []yamltext.Edit
		if subject == "camera" {
			edits = cameraEdits(value)
		}
		for k := range lights {
			if strings.EqualFold(lights[k].Name, subject) || lights[k].Name == "" &&
				strings.EqualFold(lights[k].Role, subject) {
				edits = lightEdits(k, &lights[k], value)
			}
		}
		out, err := doc.SetAll(edits)
		if err == nil && len(edits) > 0 {
			next, _, list := shoot.Parse(records.DialledName, out, shoot.Options{Kit: b.kit})
			if err = list.Err(); next != nil && err == nil {
				doc, _ = yamltext.Parse(records.DialledName, out)
				logged[subject] = true
				continue
			}
		}
		why := "the setup has no such light"
		if err != nil {
			why = err.Error()
		}
		notes = append(notes, fmt.Sprintf("the log sets %s to %s; it is recorded as planned: %s", subject,
			value, why))
	}
	return doc.Source(), logged, notes, nil
}

// lightEdits sets one light to what was logged: a share, 'off', or a power.
func lightEdits(k int, l *shoot.Light, value string) []yamltext.Edit {
	path := fmt.Sprintf("setups[0].lights[%d]", k)
	if strings.EqualFold(value, "off") {
		return []yamltext.Edit{{Path: path + ".off", Value: "true"}}
	}
	key := ".power"
	if _, err := q.ParseShare(value); l.Level != nil || err == nil && strings.HasSuffix(value, "%") && l.Power == "" {
		key = ".level"
	}
	return []yamltext.Edit{{Path: path + key, Value: value}}
}

// cameraEdits reads what a camera was set to: 'f/5.6 1/125 s ISO 400', in any order, each or not.
func cameraEdits(value string) (edits []yamltext.Edit) {
	words := strings.Fields(strings.ReplaceAll(value, ",", " "))
	for i, w := range words {
		next := ""
		if i+1 < len(words) {
			next = words[i+1]
		}
		switch {
		case strings.HasPrefix(strings.ToLower(w), "f/"):
			edits = append(edits, yamltext.Edit{Path: "setups[0].camera.aperture", Value: w})
		case strings.EqualFold(w, "iso") && next != "":
			edits = append(edits, yamltext.Edit{Path: "setups[0].camera.iso", Value: next})
		case strings.HasPrefix(w, "1/"), next == "s":
			edits = append(edits, yamltext.Edit{Path: "setups[0].camera.shutter", Value: strings.TrimSuffix(w,
				"s") + " s"})
		}
	}
	return edits
}

// pictures computes the picture and packs its layers.
func (b *recorder) pictures(ctx context.Context, job *answer.Job, r *record.Record) ([]records.File, error) {
	cam := job.File.Setups[0].Camera
	if cam == nil {
		r.Missing = append(r.Missing, "the setup has no camera, so there is no picture")
		return nil, nil
	}
	samples := b.o.samples
	if samples == 0 {
		samples = 16
	}
	width, height := answer.Pixels(cam, b.o.long)
	f, err := one(ctx, b.e, &b.o.work, "exposing", r.Setup,
		func(lim context.Context, step step) (*render.Frame, diag.List, error) {
			f, list, err := job.Frame(lim, 0, answer.FrameWork{MostBytes: mostBytes,
				Work: render.Work{Width: width, Height: height, Samples: samples, Seed: b.o.seed, Progress: step}})
			if err == nil && f != nil {
				err = f.Denoise(ctx)
			}
			if err != nil {
				return nil, list, err
			}
			return f, list, nil
		})
	if err != nil {
		return nil, err
	}
	if len(f.Stage.Layers) == 0 {
		r.Missing = append(r.Missing, "no light burns in this setup, so there is no picture")
		return nil, nil
	}
	return records.Pictures(r, f)
}

type recordCheck struct{}

func (recordCheck) flags(*pflag.FlagSet) {}

func (recordCheck) run(_ context.Context, e *env, args []string) error {
	f, err := records.Open(args[0])
	if err != nil {
		return badInput(err)
	}
	for _, d := range f.Damage {
		fmt.Fprintf(e.out, "%s: %s\n", f.Dir, d)
	}
	if len(f.Damage) > 0 {
		return &exitError{code: exitFindings}
	}
	fmt.Fprintf(e.out, "%s: every file is as it was recorded\n", f.Dir)
	return nil
}

// openRecord opens a record; what is damaged is told on standard error.
func (e *env) openRecord(path string) (*records.Folder, error) {
	f, err := records.Open(path)
	if err != nil {
		return nil, badInput(err)
	}
	for _, d := range f.Damage {
		fmt.Fprintf(e.err, "%s: %s\n", f.Dir, d)
	}
	return f, nil
}

// remixed is the picture of a record's working copy from the layers that were kept: nothing is
// traced. The error says why it cannot be had from them.
func remixed(f *records.Folder, job *answer.Job) (*render.Frame, error) {
	if f.Record.Layers == nil {
		return nil, errors.New("the record has no layers")
	}
	was, list, err := f.Job(records.DialledName)
	if err != nil {
		return nil, err
	}
	if was == nil {
		return nil, list.Err()
	}
	if len(job.File.Setups) != 1 {
		return nil, errors.New("the shoot file has more setups than were recorded")
	}
	kept, list := was.Stage(0, figure.Shadow)
	if kept == nil {
		return nil, list.Err()
	}
	now, list := job.Stage(0, figure.Shadow)
	if now == nil {
		return nil, list.Err()
	}
	data, err := f.Read(f.Record.Layers.File)
	if err != nil {
		return nil, err
	}
	frame, err := f.Record.Layers.Unpack(data, kept)
	if err != nil {
		return nil, err
	}
	return record.Remix(frame, now)
}
