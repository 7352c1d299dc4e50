package server

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"mime"
	"net/http"
	"sync"
	"time"

	"halfstop/photo"
	"halfstop/scout"
	"halfstop/stage"
)

// ScoutView is what the Scout screen starts from.
type ScoutView struct {
	Photos  []ScoutPhoto   `json:"photos" doc:"that are held, in the order in which they came; they never leave this machine"`
	Targets []scout.Target `json:"targets" doc:"what of the shoot a spot can be of"`
	Places  []scout.Place  `json:"places" doc:"corners that can be told in a photograph"`
	Outline [][2]float64   `json:"outline" doc:"of the room, metres; empty: none"`
	Ceiling float64        `json:"ceiling" doc:"metres; 0: none"`
	Scan    *ScanView      `json:"scan" doc:"the scan that is held; null: none"`
	Room    string         `json:"room" words:"none|size|outline|bare" doc:"how the text says it; bare: a room without a shape"`
}

// ScoutPhoto is a photograph that is held in memory.
type ScoutPhoto struct {
	ID        int             `json:"id"`
	Key       string          `json:"key" doc:"of its bytes: the same file brought again has the same"`
	Name      string          `json:"name"`
	Width     int             `json:"width" doc:"as it is shown, pixels"`
	Height    int             `json:"height"`
	Exposure  *scout.Exposure `json:"exposure" doc:"null: the file has no exposure data"`
	Missing   string          `json:"missing" doc:"what of the exposure data is not there"`
	AutoWhite bool            `json:"auto_white" doc:"its white balance was automatic"`
	HasGPS    bool            `json:"has_gps" doc:"the file says where it was taken"`
	Lens      float64         `json:"lens_mm" doc:"as on full frame; 0: not said"`
}

// ScoutAsk asks for spots of a photograph.
type ScoutAsk struct {
	ID    int          `json:"id" doc:"of the photograph"`
	Spots []scout.Spot `json:"spots"`
	Card  *scout.Card  `json:"card,omitempty" doc:"something of known reflectance in it"`
	White float64      `json:"white_kelvin,omitempty" doc:"what light is white in it; absent: not known"`
}

// ScoutLight is a colour of light that the place offers, and what of the kit makes it.
type ScoutLight struct {
	Light   scout.Light `json:"light"`
	Tint    [3]float64  `json:"tint" doc:"linear sRGB, luminance 1; may lie outside 0 to 1"`
	Head    string      `json:"head" doc:"that makes it best; empty: none"`
	Gels    []string    `json:"gels"`
	DeltaUV float64     `json:"delta_uv" doc:"how far what it makes is from it"`
	Loss    float64     `json:"loss_stops"`
}

// ScoutLights are the colours of light in a photograph.
type ScoutLights struct {
	Lights []ScoutLight `json:"lights" doc:"the strongest first"`
	Hidden float64      `json:"hidden" doc:"share of the picture that is clipped: its colour is lost"`
}

// ScoutPut asks for the change that puts a spot into the shoot.
type ScoutPut struct {
	Ask    ScoutAsk `json:"ask" doc:"with the one spot that is meant"`
	Target string   `json:"target" doc:"the name of one of the targets"`
}

// ScoutStand asks where a photograph was taken from.
type ScoutStand struct {
	ID      int           `json:"id" doc:"of the photograph"`
	Setup   int           `json:"setup" doc:"under whose frame it shall lie"`
	Corners []ScoutCorner `json:"corners" doc:"four at least"`
}

// ScoutCorner is a corner as it was pressed.
type ScoutCorner struct {
	X     float64 `json:"x" doc:"per cent from the left"`
	Y     float64 `json:"y" doc:"per cent from the top"`
	Place string  `json:"place" doc:"the name of one of the places, or 'x, y, z' in metres"`
}

// ScoutStation is where a photograph was taken from, and how it lies under the frame of a setup.
type ScoutStation struct {
	At       [3]float64 `json:"at" doc:"metres"`
	SD       [3]float64 `json:"at_sd" doc:"one standard deviation, metres"`
	Axis     [3]float64 `json:"axis" doc:"unit vector of the lens"`
	Roll     float64    `json:"roll_degrees"`
	Lens     float64    `json:"lens_mm" doc:"as on full frame by the longer side"`
	LensFrom string     `json:"lens_from" doc:"what it rests on"`
	Off      float64    `json:"off" doc:"root mean square miss of the corners, share of the width"`
	Doubt    string     `json:"doubt" doc:"what is not sure; empty: nothing"`
	Under    []float64  `json:"under" doc:"rows of the 3 × 3 matrix from shares of the photograph to shares of the frame; empty: see why_not"`
	Plane    bool       `json:"plane" doc:"true: the frame is seen from elsewhere, it holds in the plane of the corners alone"`
	WhyNot   string     `json:"why_not" doc:"why it cannot lie under the frame"`
	Take     Take       `json:"take" doc:"what stands the setup's camera there"`
}

// mostPhotos are held at a time, some 20 MB each.
const mostPhotos = 8

// scouting are the photographs that pages brought.
type scouting struct {
	mu     sync.Mutex
	last   int
	photos []*held
	scan   *heldScan  // nil: none
	work   sync.Mutex // one is decoded at a time
}

type held struct {
	id    int
	key   string
	name  string
	photo *scout.Photo
	jpeg  []byte
}

// photoTime is how long the body of a photograph may take.
const photoTime = time.Minute

func (s *Server) postPhoto(w http.ResponseWriter, r *http.Request) error {
	if t, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || t != "application/octet-stream" {
		return refuse(http.StatusUnsupportedMediaType,
			"send the file's bytes with Content-Type: application/octet-stream")
	}
	name := fileName(r.FormValue("name"), "photograph")
	h := &s.scout
	h.work.Lock() // before its bytes are taken: what waits takes no memory
	defer h.work.Unlock()
	src, err := upload(w, r, name, photo.MostBytes, photoTime)
	if err != nil {
		return err
	}
	p, err := scout.Open(src)
	if err != nil {
		return refuse(http.StatusUnprocessableEntity, "%s: %v", name, err)
	}
	img, err := p.JPEG()
	if err != nil {
		return err
	}
	h.mu.Lock()
	h.last++
	sum := sha256.Sum256(src)
	x := &held{h.last, hex.EncodeToString(sum[:12]), name, p, img}
	if h.photos = append(h.photos, x); len(h.photos) > mostPhotos {
		h.photos = h.photos[1:]
	}
	h.mu.Unlock()
	return give(w, x.view())
}

func (x *held) view() ScoutPhoto {
	p := x.photo
	v := ScoutPhoto{ID: x.id, Key: x.key, Name: x.name, Width: p.Width, Height: p.Height, AutoWhite: p.Exif.AutoWhite,
		HasGPS: p.Exif.HasGPS, Lens: p.Exif.Focal35MM, Missing: "exposure data"}
	if r, err := scout.Read(p, scout.Ask{}); err == nil {
		v.Exposure, v.Missing = r.Exposure, r.Missing
	}
	return v
}

// photo finds one that is held.
func (s *Server) photo(id int) (*held, error) {
	s.scout.mu.Lock()
	defer s.scout.mu.Unlock()
	for _, x := range s.scout.photos {
		if x.id == id {
			return x, nil
		}
	}
	return nil, refuse(http.StatusNotFound, "this photograph is not held any more: choose it again")
}

func (s *Server) getScout(w http.ResponseWriter, r *http.Request) error {
	v := ScoutView{Photos: []ScoutPhoto{}, Targets: []scout.Target{}, Places: []scout.Place{},
		Outline: [][2]float64{}, Room: "none"}
	s.scout.mu.Lock()
	for _, x := range s.scout.photos {
		v.Photos = append(v.Photos, x.view())
	}
	if x := s.scout.scan; x != nil {
		v.Scan = &x.view
	}
	s.scout.mu.Unlock()
	if m := s.book.snapshot(); m != nil {
		v.Targets, v.Places = some(scout.Targets(m.job.File)), some(scout.Places(m.job.File))
		corners, high := stage.Outline(&m.job.File.Room)
		v.Ceiling = high
		for _, key := range []string{"size", "outline"} {
			if m.job.Doc.Has("room." + key) {
				v.Room = key
			}
		}
		if v.Room == "none" && m.job.Doc.Has("room") {
			v.Room = "bare"
		}
		for _, c := range corners {
			v.Outline = append(v.Outline, [2]float64{c.X, c.Y})
		}
	}
	return give(w, v)
}

func (s *Server) getScoutPicture(w http.ResponseWriter, r *http.Request) error {
	id, err := number(r, "id", 1<<30)
	if err != nil {
		return err
	}
	x, err := s.photo(id)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/jpeg")
	send(w, http.StatusOK, x.jpeg)
	return nil
}

func (s *Server) postScoutDrop(w http.ResponseWriter, r *http.Request) error {
	var a ScoutAsk
	if err := take(w, r, &a); err != nil {
		return err
	}
	s.scout.mu.Lock()
	for i, x := range s.scout.photos {
		if x.id == a.ID {
			s.scout.photos = append(s.scout.photos[:i:i], s.scout.photos[i+1:]...)
			break
		}
	}
	s.scout.mu.Unlock()
	return s.getScout(w, r)
}

func (a *ScoutAsk) ask() scout.Ask { return scout.Ask{Spots: a.Spots, Card: a.Card, White: a.White} }

// mostSpots are read at a time.
const mostSpots = 200

// asked finds the photograph that is asked of.
func (s *Server) asked(a *ScoutAsk) (*held, error) {
	if len(a.Spots) > mostSpots {
		return nil, refuse(http.StatusBadRequest, "%d spots; %d are read at a time", len(a.Spots), mostSpots)
	}
	return s.photo(a.ID)
}

func (s *Server) postScoutRead(w http.ResponseWriter, r *http.Request) error {
	var a ScoutAsk
	if err := take(w, r, &a); err != nil {
		return err
	}
	x, err := s.asked(&a)
	if err != nil {
		return err
	}
	v, err := scout.Read(x.photo, a.ask())
	if err != nil {
		return refuse(http.StatusBadRequest, "%v", err)
	}
	return give(w, v)
}

// scoutTime bounds the search for what makes the lights of a place.
const scoutTime = 30 * time.Second

func (s *Server) postScoutLights(r *http.Request, a ScoutAsk) (ScoutLights, error) {
	x, err := s.asked(&a)
	if err != nil {
		return ScoutLights{}, err
	}
	lights, hidden, err := scout.Lights(x.photo, a.ask())
	if err != nil {
		return ScoutLights{}, refuse(http.StatusBadRequest, "%v", err)
	}
	ctx, stop := context.WithTimeout(r.Context(), scoutTime)
	defer stop()
	j, all := scout.BareShoot(), true
	if m := s.book.snapshot(); m != nil && len(m.job.File.Setups) > 0 {
		j, all = m.job.Shoot(), false
	}
	v := ScoutLights{Lights: []ScoutLight{}, Hidden: hidden}
	for _, l := range lights {
		o := ScoutLight{Light: l, Gels: []string{}, Tint: scout.Tint(l.UV)}
		way, err := scout.Maker(ctx, j, 0, l, all)
		if ctx.Err() != nil {
			return ScoutLights{}, ctx.Err()
		}
		if err == nil && way != nil { // a setup that cannot be built says no kit: the colour stands alone
			o.Head, o.Gels, o.DeltaUV, o.Loss = way.Head, some(way.Gels), way.DeltaUV, float64(way.Loss)
		}
		v.Lights = append(v.Lights, o)
	}
	return v, nil
}

func (s *Server) postScoutPut(r *http.Request, a ScoutPut) (Take, error) {
	x, err := s.asked(&a.Ask)
	if err != nil {
		return Take{}, err
	}
	m, err := s.model()
	if err != nil {
		return Take{}, err
	}
	ask := a.Ask.ask()
	read, err := scout.Read(x.photo, ask)
	if err != nil || len(read.Spots) != 1 {
		return Take{}, refuse(http.StatusBadRequest, "give the one spot that is meant (%d; %v)", len(ask.Spots), err)
	}
	edits, err := scout.Put(m.job.File, m.job.Doc, a.Target, &read.Spots[0], &ask)
	if err != nil {
		return Take{}, refuse(http.StatusUnprocessableEntity, "%s: not put in; %v", a.Target, err)
	}
	return Take{fmt.Sprintf("take %s from %s", a.Target, x.name), editsOf(edits)}, nil
}

func editsOf(list []scout.Edit) []Edit {
	out := []Edit{}
	for _, e := range list {
		if e.Delete {
			out = append(out, Edit{Delete: e.Path})
		} else {
			out = append(out, Edit{Set: e.Path, Value: e.Value})
		}
	}
	return out
}

func (s *Server) postScoutStand(r *http.Request, a ScoutStand) (ScoutStation, error) {
	x, err := s.photo(a.ID)
	if err != nil {
		return ScoutStation{}, err
	}
	m, err := s.model()
	if err != nil {
		return ScoutStation{}, err
	}
	if a.Setup < 0 || a.Setup >= len(m.job.File.Setups) || len(a.Corners) > mostSpots {
		return ScoutStation{}, refuse(http.StatusBadRequest, "there is no setup %d, or over %d corners",
			a.Setup, mostSpots)
	}
	places := scout.Places(m.job.File)
	var list []photo.Sight
	for _, c := range a.Corners {
		at, err := scout.PlaceNamed(places, c.Place)
		if err != nil {
			return ScoutStation{}, refuse(http.StatusBadRequest, "%v", err)
		}
		list = append(list, photo.Sight{At: at, X: c.X / 100, Y: c.Y / 100})
	}
	st, err := scout.Stand(x.photo, list)
	if err != nil {
		return ScoutStation{}, refuse(http.StatusUnprocessableEntity, "%v", err)
	}
	v := ScoutStation{At: st.At.Array(), SD: st.SD.Array(), Axis: st.Axis.Array(), Roll: st.RollDegrees(),
		Lens:     st.Lens,
		LensFrom: st.LensFrom, Off: st.Off, Doubt: st.Doubt(), Under: []float64{}, WhyNot: "the setup has no camera"}
	long := 0.036
	if g, _ := s.engine.current(m, s.engine.setup(a.Setup)); g != nil && g.View != nil {
		f := g.View.Format
		long = float64(max(f.Width, f.Height))
		v.WhyNot = ""
		under, plane, err := st.Under(g.View)
		if err != nil {
			v.WhyNot = err.Error()
		} else {
			v.Under, v.Plane = under[:], plane
		}
	}
	v.Take = Take{"stand the camera where " + x.name + " was taken",
		editsOf(st.Camera(m.job.Doc, fmt.Sprintf("setups[%d].camera", a.Setup), long))}
	return v, nil
}
