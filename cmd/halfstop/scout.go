package main

import (
	"context"
	"fmt"
	"os"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"halfstop/diag"
	"halfstop/photo"
	"halfstop/scout"
	"halfstop/shoot"
	"halfstop/ways"
)

func scoutCommand(e *env) *cobra.Command {
	return command(e, words{use: "scout PHOTO", least: 1, most: 1,
		short: "a photograph to luminances, reflectances and colours",
		long: `scout reads a scouting photograph (JPEG, TIFF, PNG, or the preview in a raw container made like
TIFF) as a measurement. From its exposure data it gives the luminance of each --spot, with how sure
that is; with a --card of known reflectance in the same light, reflectances too.

--write SHOOT puts spots into the shoot by their names: walls, floor, ceiling, 'wall 2' or an object
gets the reflectance and colour (it needs a --card), the name of a practical with an emitter its
luminance, of a tube its flux, and with a card or --white its chromaticity. Other names are only
read.

A spot is a place in the picture, in per cent from its top left, as it is shown: --spot
wall=30,40. The mean of a square of 2 % of the width is taken. Without exposure data, or with the
white balance on automatic, it says what is missing. --white says what light is white in it: the
light on the card, or what the camera was set to.

--lights lists the colours of light that the place offers, each with the head or gel that makes it;
--shoot SHOOT says whose kit. Four --corner and more, in the picture and in the room, say where the
photograph was taken from: --corner '12,80=0,5,0' in metres, or with --shoot by name:
--corner '12,80=corner 1, floor'.`},
		&scoutOptions{})
}

type scoutOptions struct {
	spots, corners []string
	card           string
	white          string
	write, shoot   string
	lights, json   bool
}

func (o *scoutOptions) flags(f *pflag.FlagSet) {
	f.StringArrayVar(&o.spots, "spot", nil, "a place to read, NAME=x,y in per cent; may be given again")
	f.StringVar(&o.card, "card", "", "a card or paper of known reflectance, x,y=0.18 (paper: about 0.85)")
	f.StringVar(&o.white, "white", "", "what light is white in the picture, like '3200 K'")
	f.BoolVar(&o.lights, "lights", false, "the colours of light that the place offers, and what makes them")
	f.StringArrayVar(&o.corners, "corner", nil,
		"a corner seen, x,y=PLACE in per cent and metres or by name; four at least")
	f.StringVar(&o.shoot, "shoot", "", "the shoot whose kit and corners are meant")
	f.StringVar(&o.write, "write", "", "a shoot to put the spots into, by their names; a backup is kept")
	flagJSON(f, &o.json)
}

// scouted is what `scout --json` prints.
type scouted struct {
	*scout.Reading
	Lights  []offeredJSON `json:"lights,omitempty"`
	Station *stationJSON  `json:"station,omitempty"`
}

// offeredJSON is a colour of light that the place offers.
type offeredJSON struct {
	scout.Light
	Head    string   `json:"head,omitempty"` // of the kit, that makes it best
	Gels    []string `json:"gels,omitempty"`
	DeltaUV float64  `json:"delta_uv"` // how far from it
	Loss    float64  `json:"loss_stops"`
}

// stationJSON is where the photograph was taken from.
type stationJSON struct {
	At       [3]float64 `json:"at"`
	SD       [3]float64 `json:"at_sd"`
	Axis     [3]float64 `json:"axis"`
	Roll     float64    `json:"roll_degrees"`
	Lens     float64    `json:"lens_mm"` // as on 36 × 24 mm by the longer side
	LensFrom string     `json:"lens_from"`
	Off      float64    `json:"off"` // root mean square miss, share of the width
	Doubt    string     `json:"doubt,omitempty"`
}

func (o *scoutOptions) run(ctx context.Context, e *env, args []string) error {
	info, err := os.Stat(args[0])
	switch {
	case err != nil:
		return badInput(err)
	case !info.Mode().IsRegular():
		return badInput(fmt.Errorf("%s: this is no plain file", args[0]))
	case info.Size() > photo.MostBytes:
		return badInput(fmt.Errorf("%s: it has %d MiB; %d MiB are read at most", args[0], info.Size()>>20,
			photo.MostBytes>>20))
	}
	src, err := os.ReadFile(args[0])
	if err != nil {
		return badInput(err)
	}
	p, err := scout.Open(src)
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", args[0], err))
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	ask, err := o.ask()
	if err != nil {
		return badInput(err)
	}
	out := &scouted{}
	if out.Reading, err = scout.Read(p, ask); err != nil {
		return badInput(err)
	}
	if o.lights {
		if err := o.offers(ctx, e, out, p, ask); err != nil {
			return err
		}
	}
	if len(o.corners) > 0 {
		if err := o.stand(e, out, p); err != nil {
			return err
		}
	}
	if o.json {
		err = e.json(out)
	} else {
		o.print(e, out)
	}
	if err != nil || o.write == "" {
		return err
	}
	return o.put(e, out, &ask)
}

// ask reads the flags.
func (o *scoutOptions) ask() (a scout.Ask, err error) {
	if o.card != "" {
		at, value, ok := strings.Cut(o.card, "=")
		x, y, err := placeIn(at)
		value, percent := strings.CutSuffix(strings.TrimSpace(value), "%")
		k, err2 := strconv.ParseFloat(strings.TrimSpace(value), 64)
		if percent {
			k /= 100
		}
		if !ok || err != nil || err2 != nil || !(k > 0 && k <= 1) {
			return a, fmt.Errorf("--card %s: write its place and reflectance, like 48,60=18%%", o.card)
		}
		a.Card = &scout.Card{X: x, Y: y, Known: k}
	}
	if o.white != "" {
		text := strings.TrimSpace(strings.TrimSuffix(strings.ToUpper(strings.TrimSpace(o.white)), "K"))
		if a.White, err = strconv.ParseFloat(text, 64); err != nil {
			return a, fmt.Errorf("--white %s: write a colour temperature, like 3200 K", o.white)
		}
	}
	for _, s := range o.spots {
		name, at, ok := strings.Cut(s, "=")
		if !ok {
			name, at = s, s
		}
		x, y, err := placeIn(at)
		if err != nil {
			return a, err
		}
		a.Spots = append(a.Spots, scout.Spot{Name: name, X: x, Y: y})
	}
	return a, nil
}

// placeIn reads 'x,y' in per cent.
func placeIn(s string) (x, y float64, err error) {
	v, err := numbers(s, 2)
	if err != nil || v[0] < 0 || v[0] > 100 || v[1] < 0 || v[1] > 100 {
		return 0, 0, fmt.Errorf("%q is no place in the picture: write x,y in per cent from its top left, like 30,40", s)
	}
	return v[0], v[1], nil
}

// shootArgs are the shoot that was named; none: the generic kit and a bare room stand in.
func (o *scoutOptions) shootArgs() []string {
	for _, s := range []string{o.shoot, o.write} {
		if s != "" {
			return []string{s}
		}
	}
	return nil
}

// offers finds the place's lights and what of the kit makes each.
func (o *scoutOptions) offers(ctx context.Context, e *env, out *scouted, p *scout.Photo, a scout.Ask) error {
	lights, hidden, err := scout.Lights(p, a)
	if err != nil {
		return badInput(err)
	}
	var j *ways.Shoot
	all := true
	if args := o.shootArgs(); args != nil {
		job, list, err := e.load(args)
		if err != nil {
			return err
		}
		e.warn(list)
		j, all = job.Shoot(), false
	} else {
		j = scout.BareShoot()
	}
	for _, l := range lights {
		x := offeredJSON{Light: l}
		w, err := scout.Maker(ctx, j, 0, l, all)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			return badInput(err)
		}
		if w != nil {
			x.Head, x.Gels, x.DeltaUV, x.Loss = w.Head, w.Gels, w.DeltaUV, float64(w.Loss)
		}
		out.Lights = append(out.Lights, x)
	}
	if hidden > 0.01 {
		out.Notes = append(out.Notes, fmt.Sprintf("%.0f %% of the picture is clipped: what shines there has "+
			"no colour in it; "+
			"take one more with three stops less", 100*hidden))
	}
	if len(lights) == 0 {
		out.Notes = append(out.Notes, "no light is bright enough in it to tell a colour")
	}
	return nil
}

// stand finds where the photograph was taken from.
func (o *scoutOptions) stand(e *env, out *scouted, p *scout.Photo) error {
	var places []scout.Place
	if args := o.shootArgs(); args != nil {
		job, _, err := e.load(args)
		if err != nil {
			return err
		}
		places = scout.Places(job.File)
	}
	var list []photo.Sight
	for _, c := range o.corners {
		at, name, ok := strings.Cut(c, "=")
		x, y, err := placeIn(at)
		if !ok || err != nil {
			return badInput(fmt.Errorf("--corner %s: write where it is seen and where it is, like 12,80=0,5,0", c))
		}
		v, err := scout.PlaceNamed(places, name)
		if err != nil {
			return badInput(fmt.Errorf("--corner %s: %w", c, err))
		}
		list = append(list, photo.Sight{At: v, X: x / 100, Y: y / 100})
	}
	s, err := scout.Stand(p, list)
	if err != nil {
		return badInput(fmt.Errorf("--corner: %w", err))
	}
	out.Station = &stationJSON{At: s.At.Array(), SD: s.SD.Array(), Axis: s.Axis.Array(), Roll: s.RollDegrees(),
		Lens: s.Lens, LensFrom: s.LensFrom, Off: s.Off, Doubt: s.Doubt()}
	return nil
}

// put writes the spots into the shoot.
func (o *scoutOptions) put(e *env, out *scouted, a *scout.Ask) error {
	disk, err := e.onDisk([]string{o.write})
	if err != nil {
		return err
	}
	f, doc, list := disk.Parse()
	if err := e.fail(list); err != nil {
		return err
	}
	src, wrote := doc.Source(), 0
	for i := range out.Spots {
		s := &out.Spots[i]
		edits, err := scout.Put(f, doc, s.Name, s, a)
		if err != nil {
			fmt.Fprintf(e.err, "%s: not written; %v\n", s.Name, err)
			continue
		}
		if src, err = scout.Apply(disk.Name, src, edits); err != nil {
			return badInput(fmt.Errorf("%s: %w", s.Name, err))
		}
		wrote++
	}
	if wrote == 0 {
		fmt.Fprintln(e.err, "nothing was written")
		return &exitError{code: exitFindings}
	}
	if _, _, list := shoot.Parse(disk.Name, src, shoot.Options{Kit: disk.Kit}); list.Has(diag.Error) {
		return e.fail(list)
	}
	if err := disk.Write(src); err != nil {
		return badInput(err)
	}
	fmt.Fprintf(e.err, "%s: %d spots written; the old text is kept beside it\n", disk.Name, wrote)
	return nil
}

func (o *scoutOptions) print(e *env, out *scouted) {
	if x := out.Exposure; x != nil && out.Missing == "" {
		e.line(2, fmt.Sprintf("%d × %d, f/%g, %s s, ISO %g %s", out.Width, out.Height, x.Aperture,
			shutterText(x.Shutter),
			x.ISO, x.Taken))
	}
	switch {
	case len(out.Spots) > 0:
		t := table{head: []string{"spot", "luminance", "±", "as photographed", "reflectance", "colour"}}
		for _, s := range out.Spots {
			l, r, sd := "–", "–", "–"
			if s.Luminance != nil {
				l, sd = fmt.Sprintf("%.3g cd/m²", *s.Luminance), fmt.Sprintf("%.1f st", s.LuminanceSD)
			}
			if s.Reflectance != nil {
				r = fmt.Sprintf("%.0f %% ± %.1f st", 100**s.Reflectance, s.SD)
			}
			c := s.Colour
			if s.Kelvin > 0 {
				c = fmt.Sprintf("%s %.0f K", c, s.Kelvin)
			}
			t.row(s.Name, l, sd, signed(s.Stops, 1)+" st", r, c)
		}
		e.table(&t)
	case !o.lights && out.Station == nil:
		e.line(2, "Say what to read: --spot wall=30,40 (per cent from the top left).")
	}
	if len(out.Lights) > 0 {
		t := table{head: []string{"light", "seen at", "luminance", "made by", "the colour", "lost"}}
		for _, l := range out.Lights {
			lum, by := "–", "–"
			if l.Luminance != nil {
				lum = fmt.Sprintf("%.3g cd/m²", *l.Luminance)
			}
			if l.Head != "" {
				by = strings.Join(append([]string{l.Head}, l.Gels...), " + ")
			}
			t.row(l.Words, fmt.Sprintf("%.0f, %.0f %%", l.X, l.Y), lum, by, ways.ColourFar(l.DeltaUV),
				fmt.Sprintf("%.1f st", max(0, l.Loss)))
		}
		e.table(&t)
	}
	if s := out.Station; s != nil {
		e.line(2, fmt.Sprintf("Taken from x %.2f, y %.2f, %.2f m high (± %.2f, %.2f, %.2f m) "+
			"towards x %.2f, y %.2f, z %.2f;",
			s.At[0], s.At[1], s.At[2], s.SD[0], s.SD[1], s.SD[2], s.At[0]+3*s.Axis[0], s.At[1]+3*s.Axis[1],
			s.At[2]+3*s.Axis[2]))
		e.line(2, fmt.Sprintf("lens %.0f mm as on full frame (by %s); corners missed by %.1f %% of the width", s.Lens,
			s.LensFrom, 100*s.Off))
		if s.Doubt != "" {
			e.line(2, s.Doubt)
		}
	}
	for _, n := range out.Notes {
		e.line(2, n)
	}
}

// shutterText writes a shutter time as a camera does.
func shutterText(s float64) string {
	if s > 0 && s < 0.4 {
		return fmt.Sprintf("1/%.0f", 1/s)
	}
	return fmt.Sprintf("%g", s)
}
