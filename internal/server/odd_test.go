package server

import (
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
)

// odd are setups that lack what others have, or have very much of it.
func odd() map[string]string {
	const (
		room   = "room: {size: [4, 5, 2.7]}\n"
		camera = "    camera: {at: [1, 1, 1.5], aim: [2, 4, 1.2], aperture: f/4}\n"
		light  = "      - {name: l%d, head: battery head 500, modifier: softbox 60x90, at: [%g, 2.5], height: 2 " +
			"m, aim: [2, 4, 1.2], power: 1/8}\n"
		point  = "      - {name: p%d, at: [%g, 4, 1.2], facing: y-}\n"
		sitter = "    sitter: {at: [2, 4], faces: y-}\n"
	)
	many := func(what string, n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, what, i, 0.5+3*float64(i)/float64(n))
		}
		return b.String()
	}
	lights, points := "    lights:\n", "    points:\n"
	head := "halfstop: 1\n"
	setup := "setups:\n  - name: One\n"
	return map[string]string{
		"no lights": head + room + setup + camera + points + many(point, 2),
		"no points": head + room + setup + camera + lights + many(light, 1),
		"no sitter, one point": head + room + setup + camera + lights + many(light,
			1) + points + many(point, 1),
		"no camera":               head + room + setup + lights + many(light, 1) + points + many(point, 1),
		"no room":                 head + setup + camera + lights + many(light, 1) + points + many(point, 1),
		"a sitter and a camera":   head + room + setup + camera + sitter,
		"nothing at all":          head + setup,
		"a name in an empty room": head + room + setup,
		"forty lights": head + room + setup + camera + lights + many(light,
			40) + points + many(point, 1),
		"sixty points": head + room + setup + camera + lights + many(light,
			1) + points + many(point, 60),
		"all lights off": head + room + setup + camera + lights + strings.Replace(many(light, 1),
			"power: 1/8", "off: true", 1) + points + many(point, 1),
		"a look at a point without light": head + room + setup + camera + points + many(point,
			1) + "    look:\n      - {point: p0, reads: f/4}\n",
	}
}

// TestOddSetups: every route answers for a setup that has no lights, points, sitter, camera or
// room, and for one with very many: with what is asked for, or with a refusal that says why and has
// its code; never with a fault, and never not at all.
func TestOddSetups(t *testing.T) {
	short := []string{"no lights", "no camera", "nothing at all", "forty lights"}
	for name, text := range odd() {
		if os.Getenv("HALFSTOP_LONG") == "" && !slices.Contains(short, name) {
			t.Logf("%s: HALFSTOP_LONG=1 tries it too", name)
			continue
		}
		t.Run(name, func(t *testing.T) {
			c := start(t, Options{Shoot: onDisk(t, text)})
			st := c.state()
			if st.Draft {
				t.Fatalf("it is a draft: %+v", st.Messages)
			}
			// Read as they come: a page that does not read is cut off.
			var mu sync.Mutex
			var said []string
			in := c.events()
			go func() {
				for e := range in {
					if e.Kind == "message" {
						mu.Lock()
						said = append(said, e.Text)
						mu.Unlock()
					}
				}
			}()
			v := ask[SetupView](c, 200, "GET", "/api/setup/0", nil)
			if !v.Built {
				t.Errorf("not built: %+v", v.Messages)
			}
			for _, r := range routes {
				if r.path == "/api/events" || r.path == "/api/save" || r.path == "/api/disk" ||
					strings.HasSuffix(r.path, "ways") && len(v.Lights) > 10 {
					continue // ways of forty lights: minutes of search
				}
				path := strings.Replace(r.path, "{i}", "0", 1)
				var body any
				switch r.in.(type) {
				case BalanceAsk:
					body = BalanceAsk{Revision: st.Good}
				case TryAsk:
					body = TryAsk{Revision: st.Good, Side: 32}
				case Change:
					body = Change{Revision: st.Revision, Name: "title", Edits: []Edit{{Set: "shoot.title", Value: "x"}}}
				case TextChange:
					body = TextChange{Revision: st.Revision, Text: text}
				case Step:
					body = Step{st.Revision}
				}
				switch path {
				case "/api/setup/0/layers":
					path += "?w=32&samples=1"
				case "/api/setup/0/frame.png":
					path += "?w=32"
				case "/api/setup/0/spot":
					path += "?x=0.5&y=0.5"
				case "/api/setup/0/readings":
					path += "?wait=1"
				case "/api/chart":
					path += "?head=battery head 500"
				case "/api/colour":
					path += "?kelvin=5600"
				}
				res, b := c.do(r.method, strings.ReplaceAll(path, " ", "%20"), body)
				var p Problem
				switch {
				case res.StatusCode == 200:
				case res.StatusCode >= 500 || json.Unmarshal(b, &p) != nil || p.Code == "" || len(p.Error) < 10:
					t.Errorf("%s %s: %d %s", r.method, path, res.StatusCode, b)
				}
				if r.method == "POST" || r.method == "PUT" {
					st = c.state()
				}
			}
			// A picture as the page asks for it does not turn in a circle of refusals.
			for range 3 {
				res, err := http.Get("http://" + c.s.Address + "/api/setup/0/layers?w=32&once=1")
				if err != nil {
					t.Fatal(err)
				}
				b, _ := io.ReadAll(res.Body)
				res.Body.Close()
				if camera := strings.Contains(text, "camera:"); (res.StatusCode == 200) != camera {
					t.Errorf("layers: %d %.200s", res.StatusCode, b)
				}
			}
			mu.Lock()
			defer mu.Unlock()
			for _, text := range said {
				t.Errorf("a message: %s", text)
			}
		})
	}
}
