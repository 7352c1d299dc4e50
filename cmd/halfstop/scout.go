package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // formats of scouting photographs
	_ "image/png"
	"math"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	_ "golang.org/x/image/tiff"

	"halfstop/diag"
	"halfstop/photo"
	"halfstop/shoot"
	"halfstop/spectrum"
	"halfstop/yamltext"
)

func scoutCommand(e *env) *cobra.Command {
	return command(e, words{use: "scout PHOTO", least: 1, most: 1,
		short: "a photograph to luminances, reflectances and colours",
		long: `scout reads a scouting photograph (JPEG, TIFF, PNG, or the preview in a raw container made like
TIFF) as a measurement. From its exposure data it gives the luminance of each --spot, with how sure
that is; with a --card of known reflectance in the same light, reflectances too.

--write SHOOT puts spots into the shoot by their names: walls, floor, ceiling or 'wall 2' gets the
reflectance and colour (it needs a --card), the name of a practical with an emitter its luminance,
and with a card its chromaticity. Other names are only read.

A spot is a place in the picture, in per cent from its top left, as it is shown: --spot
wall=30,40. The mean of a square of 2 % of the width is taken. Without exposure data, or with the
white balance on automatic, it says what is missing.`},
		&scoutOptions{})
}

type scoutOptions struct {
	spots []string
	card  string
	write string
	json  bool
}

func (o *scoutOptions) flags(f *pflag.FlagSet) {
	f.StringArrayVar(&o.spots, "spot", nil, "a place to read, NAME=x,y in per cent; may be given again")
	f.StringVar(&o.card, "card", "", "a card or paper of known reflectance, x,y=0.18 (paper: about 0.85)")
	f.StringVar(&o.write, "write", "", "a shoot to put the spots into, by their names; a backup is kept")
	flagJSON(f, &o.json)
}

// scouted is what `scout --json` prints.
type scouted struct {
	Version  int           `json:"version"`
	Width    int           `json:"width"`
	Height   int           `json:"height"`
	Exposure *exposureJSON `json:"exposure"` // null without exposure data
	Missing  string        `json:"missing,omitempty"`
	Spots    []scoutedSpot `json:"spots"`
	Notes    []string      `json:"notes"`
}

type exposureJSON struct {
	Aperture float64 `json:"aperture"`
	Shutter  float64 `json:"shutter_seconds"`
	ISO      float64 `json:"iso"`
	Taken    string  `json:"taken,omitempty"`
}

type scoutedSpot struct {
	Name        string    `json:"name"`
	Luminance   *float64  `json:"luminance,omitempty"` // cd/m²
	Stops       float64   `json:"stops"`               // to mid-grey as photographed
	SD          float64   `json:"sd_stops"`
	Reflectance *float64  `json:"reflectance,omitempty"`
	Colour      string    `json:"colour"` // '#rrggbb': of the reflectance where there is a card, else as photographed
	UV          []float64 `json:"uv"`     // CIE 1976, against the picture's white
	Clipped     float64   `json:"clipped"`
}

func (o *scoutOptions) run(ctx context.Context, e *env, args []string) error {
	info, err := os.Stat(args[0])
	switch {
	case err != nil:
		return badInput(err)
	case !info.Mode().IsRegular():
		return badInput(fmt.Errorf("%s: this is no plain file", args[0]))
	case info.Size() > 256<<20:
		return badInput(fmt.Errorf("%s: it has %d MiB; 256 MiB are read at most", args[0], info.Size()>>20))
	}
	src, err := os.ReadFile(args[0])
	if err != nil {
		return badInput(err)
	}
	pixel := src
	if p := photo.Preview(src); p != nil {
		pixel = p // of a raw container: the picture that the camera developed
	}
	conf, _, err := image.DecodeConfig(bytes.NewReader(pixel))
	if err != nil {
		return badInput(fmt.Errorf("%s: this is no JPEG, TIFF or PNG picture, and no raw container with a preview: %w",
			args[0], err))
	}
	if conf.Width*conf.Height > 200e6 {
		return badInput(fmt.Errorf("%s: %d × %d pixels; 200 million are read at most", args[0], conf.Width,
			conf.Height))
	}
	m, _, err := image.Decode(bytes.NewReader(pixel))
	if err != nil {
		return badInput(fmt.Errorf("%s: %w", args[0], err))
	}
	if ctx.Err() != nil {
		return ctx.Err()
	}
	x, err := photo.ReadExif(src)
	out := &scouted{Version: 1, Spots: []scoutedSpot{}, Notes: []string{}}
	switch {
	case errors.Is(err, photo.ErrNoExif):
		out.Missing = "exposure data"
		x = &photo.Exif{}
	case err != nil:
		return badInput(fmt.Errorf("%s: its exposure data cannot be read: %w", args[0], err))
	default:
		out.Missing = x.Missing()
		out.Exposure = &exposureJSON{x.FNumber, x.Shutter, x.ISO, x.Taken}
	}
	p := &pixels{m: m, orientation: x.Orientation}
	out.Width, out.Height = p.size()
	if err := o.measure(out, p, x); err != nil {
		return badInput(err)
	}
	o.notes(out, x)
	if o.json {
		err = e.json(out)
	} else {
		o.print(e, out, x)
	}
	if err != nil || o.write == "" {
		return err
	}
	return o.put(e, out)
}

// shellPart is a part of the room that a spot can be of.
var shellPart = regexp.MustCompile(`^(walls|floor|ceiling|wall [0-9]+)$`)

// put writes the spots into the shoot.
func (o *scoutOptions) put(e *env, out *scouted) error {
	disk, err := e.onDisk([]string{o.write})
	if err != nil {
		return err
	}
	f, doc, list := disk.Parse()
	if err := e.fail(list); err != nil {
		return err
	}
	src, wrote := doc.Source(), 0
	set := func(path, value string) error {
		d, _ := yamltext.Parse(disk.Name, src)
		next, err := d.Set(path, value)
		if err == nil {
			src = next
		}
		return err
	}
	for i := range out.Spots {
		s := &out.Spots[i]
		name := strings.ToLower(strings.TrimSpace(s.Name))
		switch {
		case s.Clipped > 0.02:
			fmt.Fprintf(e.err, "%s: not written, it is clipped: expose less\n", s.Name)
			continue
		case shellPart.MatchString(name):
			if s.Reflectance == nil {
				fmt.Fprintf(e.err, "%s: not written; a reflectance needs a --card in the same light\n", s.Name)
				continue
			}
			if !doc.Has("room") {
				return badInput(fmt.Errorf("%s has no room to paint", disk.Name))
			}
			err = set("room.surfaces."+name, fmt.Sprintf("{diffuse: '%s'}", s.Colour))
		default:
			at := slices.IndexFunc(f.Room.Practicals, func(p shoot.Practical) bool {
				return strings.EqualFold(p.Name, strings.TrimSpace(s.Name))
			})
			if at < 0 {
				fmt.Fprintf(e.err, "%s: not written; the shoot has no wall, floor, ceiling or practical of this name\n",
					s.Name)
				continue
			}
			if s.Luminance == nil || f.Room.Practicals[at].Emitter == nil {
				fmt.Fprintf(e.err, "%s: not written; it needs exposure data, "+
					"and the practical an emitter: with its shape\n", s.Name)
				continue
			}
			base := fmt.Sprintf("room.practicals[%d]", at)
			for _, key := range []string{"flux", "watts", "reads", "emitter.flux", "emitter.intensity"} { // said anew
				if d, _ := yamltext.Parse(disk.Name, src); d.Has(base + "." + key) {
					if src, err = d.Delete(base + "." + key); err != nil {
						return badInput(err)
					}
				}
			}
			err = set(base+".emitter.luminance", fmt.Sprintf("%.3g cd/m2", *s.Luminance))
			if err == nil && o.card != "" && len(s.UV) == 2 {
				x, y := xyOfUV(s.UV[0], s.UV[1])
				err = set(base+".colour", fmt.Sprintf("{xy: [%.4f, %.4f]}", x, y))
			}
		}
		if err != nil {
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

// xyOfUV turns CIE 1976 u', v' into CIE 1931 x, y.
func xyOfUV(u, v float64) (x, y float64) {
	d := 6*u - 16*v + 12
	return 9 * u / d, 4 * v / d
}

// pixels reads a picture as it is shown, whatever way it was held.
type pixels struct {
	m           image.Image
	orientation int
}

func (p *pixels) size() (w, h int) {
	b := p.m.Bounds()
	if p.orientation >= 5 && p.orientation <= 8 {
		return b.Dy(), b.Dx()
	}
	return b.Dx(), b.Dy()
}

// at gives a pixel of the shown picture (EXIF orientations 1 to 8), linear.
func (p *pixels) at(x, y int) (rgb [3]float64, clipped bool) {
	b := p.m.Bounds()
	w, h := b.Dx(), b.Dy()
	switch p.orientation {
	case 2:
		x = w - 1 - x
	case 3:
		x, y = w-1-x, h-1-y
	case 4:
		y = h - 1 - y
	case 5:
		x, y = y, x
	case 6:
		x, y = y, h-1-x
	case 7:
		x, y = w-1-y, h-1-x
	case 8:
		x, y = w-1-y, x
	}
	r, g, bl, _ := p.m.At(b.Min.X+x, b.Min.Y+y).RGBA()
	for i, v := range [3]uint32{r, g, bl} {
		rgb[i] = photo.Linear(float64(v) / 257)
		clipped = clipped || v >= 254*257
	}
	return rgb, clipped
}

// mean takes a square of 2 % of the width about a place in per cent.
func (p *pixels) mean(px, py float64) (out photo.Mean) {
	w, h := p.size()
	r := max(1, w/100)
	cx, cy := int(px/100*float64(w)), int(py/100*float64(h))
	for y := max(0, cy-r); y <= min(h-1, cy+r); y++ {
		for x := max(0, cx-r); x <= min(w-1, cx+r); x++ {
			rgb, clipped := p.at(x, y)
			for c := range rgb {
				out.RGB[c] += rgb[c]
			}
			if clipped {
				out.Clip++
			}
			out.N++
		}
	}
	for c := range out.RGB {
		out.RGB[c] /= float64(out.N)
	}
	out.Clip /= float64(out.N)
	return out
}

// place reads 'x,y' in per cent.
func placeIn(s string) (x, y float64, err error) {
	v, err := numbers(s, 2)
	if err != nil || v[0] < 0 || v[0] > 100 || v[1] < 0 || v[1] > 100 {
		return 0, 0, fmt.Errorf("%q is no place in the picture: write x,y in per cent from its top left, like 30,40", s)
	}
	return v[0], v[1], nil
}

func (o *scoutOptions) measure(out *scouted, p *pixels, x *photo.Exif) error {
	var card photo.Mean
	known := 0.0
	if o.card != "" {
		at, value, ok := strings.Cut(o.card, "=")
		cx, cy, err := placeIn(at)
		k, err2 := strconv.ParseFloat(value, 64)
		if !ok || err != nil || err2 != nil || !(k > 0 && k <= 1) {
			return fmt.Errorf("--card %s: write its place and reflectance, like 48,60=0.18", o.card)
		}
		card, known = p.mean(cx, cy), k
	}
	for _, s := range o.spots {
		name, at, ok := strings.Cut(s, "=")
		if !ok {
			name, at = s, s
		}
		sx, sy, err := placeIn(at)
		if err != nil {
			return err
		}
		m := p.mean(sx, sy)
		spot := scoutedSpot{Name: name, Stops: math.Log2(math.Max(1e-6, m.Y()) / photo.Linear(118)), Clipped: m.Clip}
		if u, v, ok := m.UV(); ok {
			spot.UV = []float64{u, v}
		}
		rgb := m.RGB
		if x.Complete() {
			l, sd := photo.Luminance(x, m.Y())
			spot.Luminance, spot.SD = &l, sd
		}
		if known > 0 {
			r, sd := photo.Reflectance(m.Y(), card.Y(), known)
			spot.Reflectance, spot.SD = &r, sd
			for c := range rgb {
				// Against the card, channel by channel: its own colour is taken for white.
				rgb[c] = known * m.RGB[c] / math.Max(1e-6, card.RGB[c])
			}
		}
		spot.Colour = "#"
		for c := range rgb {
			spot.Colour += fmt.Sprintf("%02x", int(math.Round(255*spectrum.Encode(min(1, rgb[c])))))
		}
		out.Spots = append(out.Spots, spot)
	}
	return nil
}

func (o *scoutOptions) notes(out *scouted, x *photo.Exif) {
	add := func(s string) { out.Notes = append(out.Notes, s) }
	if out.Missing != "" {
		add("the file does not say its " + out.Missing + ": levels are against mid-grey as photographed, not cd/m²")
	}
	if o.card == "" {
		add("no --card: colours are against what the camera took for white, and reflectances cannot be told from light")
	}
	if x.AutoWhite {
		add("the white balance was automatic: two photographs of one wall may differ in colour")
	}
	if x.HasGPS {
		add("the file holds the place where it was taken: mind whom it is sent to")
	}
	for _, s := range out.Spots {
		if s.Clipped > 0.02 {
			add(fmt.Sprintf("%s is clipped in %.0f %% of its pixels: it is at least so bright", s.Name,
				100*s.Clipped))
		}
	}
}

func (o *scoutOptions) print(e *env, out *scouted, x *photo.Exif) {
	if out.Missing == "" {
		e.line(2, fmt.Sprintf("%d × %d, f/%g, %s s, ISO %g %s", out.Width, out.Height, x.FNumber,
			shutterText(x.Shutter), x.ISO, x.Taken))
	}
	if len(out.Spots) == 0 {
		e.line(2, "Say what to read: --spot wall=30,40 (per cent from the top left).")
	} else {
		t := table{head: []string{"spot", "luminance", "±", "as photographed", "reflectance", "colour"}}
		for _, s := range out.Spots {
			l, r := "–", "–"
			if s.Luminance != nil {
				l = fmt.Sprintf("%.3g cd/m²", *s.Luminance)
			}
			if s.Reflectance != nil {
				r = fmt.Sprintf("%.0f %%", 100**s.Reflectance)
			}
			sd := "–"
			if s.SD > 0 {
				sd = fmt.Sprintf("%.1f st", s.SD)
			}
			t.row(s.Name, l, sd, signed(s.Stops, 1)+" st", r, s.Colour)
		}
		e.table(&t)
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
