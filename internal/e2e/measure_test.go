package e2e

import (
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	gort "runtime"
	"runtime/pprof"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/cdproto/profiler"
	"github.com/chromedp/chromedp"

	"halfstop/internal/e2e/browser"
)

// What the workbench takes in time and memory, in a real browser: go test ./internal/e2e -run
// Measure -measure -v. The figures are for the machine at hand, and for a person to judge;
// docs/server.md tells how they were when last written down.
var (
	measure   = flag.Bool("measure", false, "measure the workbench: TestMeasure*")
	onlySetup = flag.Int("setup", -1, "measure only this setup of the demonstration")
	profileTo = flag.String("profile", "", "folder for processor profiles of page and program in TestMeasureDrag")
	onlyRoom  = flag.String("room", "", "measure only this room of the zoo; 'demo' is the demonstration")
	pullFor   = flag.Duration("pullfor", 4*time.Second, "how long TestMeasureDrag drags each thing")
	flags     = flag.String("browser", "",
		"flags of the browser, such as those of a graphics processor; for TestMeasureDrag")
	dragFor = flag.Duration("dragfor", 2*time.Minute, "how long TestMeasureMemory drags")
)

func measuring(t *testing.T) {
	t.Helper()
	if !*measure {
		t.Skip("-measure is not given")
	}
}

// watch makes the page note, for each change that it sends in a drag, when the pointer moved for
// it and when readings that hold it stood in the page, and when the picture that the page traces
// itself shows it: all in the page's own time. Readings may stand there before the change is
// answered, since an answer waits until the change is kept on disk.
const watch = `
window.took=[];let moved=0;const open=[],stood=[];
addEventListener("pointermove",()=>{moved=performance.now()},true);
const ask=window.fetch;
window.fetch=async(u,o)=>{const r=await ask(u,o);
 if(String(u).endsWith("/api/edit")&&o?.method==="POST"){const at=o.halfstopAt;const s=await r.clone().json();
  if(s.revision!==undefined){window.kept(s.revision,at);const t=stood.find(x=>x.rev>=s.revision);
   if(t)window.took.push(t.at-at);else open.push({rev:s.revision,at})}}
 return r};
const send=window.fetch;
window.fetch=(u,o)=>send(u,o&&String(u).endsWith("/api/edit")?{...o,halfstopAt:moved}:o);
const look=()=>{const d=document.getElementById("page").dataset.readings.split(" ");const rev=Number(d[0]);
 stood.push({rev,at:performance.now()});if(stood.length>50)stood.shift();
 while(open.length&&open[0].rev<=rev){const o=open.shift();window.took.push(performance.now()-o.at)}};
new MutationObserver(look).observe(document.getElementById("page"),{attributes:true,attributeFilter:["data-readings"]});
window.lived=[];const edits=[];window.kept=(rev,at)=>edits.push({rev,at});
const pic=document.getElementById("livepic");
new MutationObserver(()=>{const rev=Number(pic.dataset.revision);let at=0;
 while(edits.length&&edits[0].rev<=rev)at=edits.shift().at;if(at)window.lived.push(performance.now()-at)})
 .observe(pic,{attributes:true,attributeFilter:["data-revision"]});
`

func spread(v []float64) string {
	if len(v) == 0 {
		return "nothing measured"
	}
	v = slices.Clone(v)
	slices.Sort(v)
	return fmt.Sprintf("p50 %.0f ms, p95 %.0f ms, most %.0f ms of %d", v[len(v)/2], v[min(len(v)-1, len(v)*95/100)],
		v[len(v)-1], len(v))
}

// grip finds where a press on the plan takes up a thing of a kind,
// since things lie over each other; false where there is none.
func (p *page) grip(what string) (x, y float64, ok bool) {
	p.T.Helper()
	var at []float64
	s := p.Str(fmt.Sprintf(`JSON.stringify((()=>{for(const e of document.querySelectorAll('#plan .plan-g [data-drag=%s]')){const r=e.getBoundingClientRect();for(const [fx,fy] of [[.5,.5],[.3,.5],[.7,.5],[.5,.3],[.5,.7],[.2,.2],[.8,.8]]){
const x=r.x+fx*r.width,y=r.y+fy*r.height,t=document.elementFromPoint(x,y)?.closest("[data-drag]");if(t?.dataset.drag===%q&&t.dataset.path===e.dataset.path)return [x,y]}}return null})())`, what, what))
	if json.Unmarshal([]byte(s), &at) != nil || len(at) != 2 {
		return 0, 0, false
	}
	return at[0], at[1], true
}

// pull drags what a press at a place takes up a little way out and
// back for a time, every 16 ms, and gives what the page noted.
func (p *page) pull(x, y float64, during time.Duration) []float64 {
	p.T.Helper()
	p.Run(`window.took.length=0;window.lived.length=0`)
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMousePressed, x, y, chromedp.ButtonLeft,
		chromedp.ClickCount(1)))
	// Out and back in steps of four pixels, so that things end where they were.
	const r = 6
	path := [][2]float64{}
	for i := 1; i <= r; i++ {
		path = append(path, [2]float64{float64(4 * i), float64(2 * i)})
	}
	for i := r - 1; i >= 0; i-- {
		path = append(path, [2]float64{float64(4 * i), float64(2 * i)})
	}
	for i, end := 0, time.Now().Add(during); time.Now().Before(end); i++ {
		d := path[i%len(path)]
		p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x+d[0], y+d[1], chromedp.ButtonLeft))
		time.Sleep(16 * time.Millisecond)
	}
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, x, y, chromedp.ButtonLeft))
	p.Do(chromedp.MouseEvent(input.DispatchMouseEventTypeMouseReleased, x, y, chromedp.ButtonLeft,
		chromedp.ClickCount(1)))
	time.Sleep(500 * time.Millisecond)
	var took []float64
	if err := json.Unmarshal([]byte(p.Str(`JSON.stringify(window.took)`)), &took); err != nil {
		p.T.Fatal(err)
	}
	return took
}

// work is what the page has spent since it was opened, milliseconds: its scripts, laying out and
// styling, all its tasks together.
func (p *page) work() (script, layout, all float64) {
	p.T.Helper()
	m, err := chromedp.Call(p.Ctx, performance.GetMetrics, cdp.Empty{})
	if err != nil {
		p.T.Fatal(err)
	}
	for _, x := range m.Metrics {
		switch x.Name {
		case "ScriptDuration":
			script = 1000 * x.Value
		case "LayoutDuration", "RecalcStyleDuration":
			layout += 1000 * x.Value
		case "TaskDuration":
			all = 1000 * x.Value
		}
	}
	return
}

// TestMeasureDrag: from the pointer's move to changed numbers, for every kind of thing that can be
// dragged on the desk, in the setups of the demonstration and in rooms of the zoo that are unlike
// it. What is there and cannot be taken hold of is a fault.
func TestMeasureDrag(t *testing.T) {
	full(t)
	if os.Getenv("HALFSTOP_LONG") == "" {
		measuring(t)
	}
	b := browser.Profile(t)
	if *flags != "" {
		var with []chromedp.ExecAllocatorOption
		for _, f := range strings.Fields(*flags) {
			var value any = true
			name, v, is := strings.Cut(strings.TrimPrefix(f, "--"), "=")
			if is {
				value = v
			}
			with = append(with, chromedp.Flag(name, value))
		}
		ctx, stop, err := browser.Start(browser.Path(t), t.TempDir(), with...)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(stop)
		b = ctx
	}
	var all []float64
	for _, room := range []string{"", "bar", "office", "stage-haze"} {
		if *onlyRoom != "" && orText(room, "demo") != *onlyRoom {
			continue
		}
		var address string
		var stop func()
		setups := 3
		if room == "" {
			address, stop = serve(t, "127.0.0.1:0")
		} else {
			src, err := os.ReadFile(filepath.Join("..", "..", "zoo", room+".yaml"))
			if err != nil {
				t.Fatal(err)
			}
			address, stop = serveText(t, string(src))
			setups = 1
		}
		p := open(t, b, address, 1440, 900)
		p.Until("readings", ready, 90*time.Second)
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			_, err := cdp.Call(ctx, t, performance.Enable,
				performance.EnableParams{TimeDomain: performance.EnableTimeDomainThreadTicks})
			return err
		}))
		p.Run(watch)
		for i := range setups {
			if room == "" && *onlySetup >= 0 && i != *onlySetup {
				continue
			}
			name := orText(room, fmt.Sprintf("demonstration %d", i+1))
			if setups > 1 {
				p.Act("setup", fmt.Sprintf(`[data-arg="%d"]`, i))
				p.Until("the setup's readings",
					fmt.Sprintf(`document.querySelector('.setups .on')?.dataset.arg==="%d" && `+ready, i),
					60*time.Second)
			}
			if *flags != "" {
				p.Until("a picture", picture, 90*time.Second)
				p.Until("the page's own tracer, or why there is none",
					`["millis","why"].some((k)=>document.getElementById("livepic").dataset[k])`, 60*time.Second)
				t.Logf("%s: traced in %s ms a frame; not: %q", name,
					p.Str(`document.getElementById("livepic").dataset.millis+" ("+document.getElementById("livepic").dataset.truth+")"`),
					p.Str(`document.getElementById("livepic").dataset.why||""`))
			}
			all = append(all, p.dragEach(name)...)
		}
		p.Clean("409")
		stop()
	}
	t.Logf("all: %s", spread(all))
}

func orText(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// profiled begins a processor profile of the page and of the program, and gives what ends it;
// nothing where none is asked for.
func (p *page) profiled(name string) (end func()) {
	if *profileTo == "" {
		return func() {}
	}
	p.T.Helper()
	name = filepath.Join(*profileTo, strings.ReplaceAll(name, " ", "-"))
	program, err := os.Create(name + ".pprof")
	if err == nil {
		err = pprof.StartCPUProfile(program)
	}
	if err != nil {
		p.T.Fatal(err)
	}
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, profiler.Enable, cdp.Empty{}); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, t, profiler.Start, cdp.Empty{})
		return err
	}))
	return func() {
		pprof.StopCPUProfile()
		program.Close()
		p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
			r, err := cdp.Call(ctx, t, profiler.Stop, cdp.Empty{})
			if err != nil {
				return err
			}
			b, err := json.Marshal(r.Profile)
			if err == nil {
				err = os.WriteFile(name+".cpuprofile", b, 0o644)
			}
			return err
		}))
	}
}

// dragEach drags one of each kind of thing that a setup has.
func (p *page) dragEach(name string) (all []float64) {
	t := p.T
	for _, what := range []string{"light", "panel", "sitter", "camera", "point", "ring"} {
		p.fine()
		p.Run(`document.querySelector("[data-act=unthing]")?.click()`) // an aim lies over the sitter
		p.rested()
		time.Sleep(300 * time.Millisecond) // the drawing has its size again
		var x, y float64
		ok := true
		if what == "ring" {
			if p.number(`document.querySelectorAll("#lad .handle").length`) == 0 {
				continue
			}
			x, y = p.At("#lad .handle")
		} else {
			if p.number(fmt.Sprintf(`document.querySelectorAll('#plan .plan-g [data-drag=%s]').length`, what)) == 0 {
				continue
			}
			x, y, ok = p.grip(what)
		}
		if !ok {
			t.Errorf("%s: no %s can be taken hold of", name, what)
			continue
		}
		s0, l0, w0 := p.work()
		end := p.profiled(name + " " + what)
		took := p.pull(x, y, *pullFor)
		end()
		s1, l1, w1 := p.work()
		if len(took) == 0 {
			t.Errorf("%s: a drag of a %s changed nothing: %s", name, what,
				p.Str(`document.querySelector("#plan .note")?.textContent+" "+document.querySelector(".toast")?.textContent`))
		}
		n := float64(max(1, len(took)))
		all = append(all, took...)
		t.Logf("%-16s %-6s %s; the page a change: scripts %.1f ms, layout %.1f ms, all %.1f ms", name, what,
			spread(took), (s1-s0)/n, (l1-l0)/n, (w1-w0)/n)
		if *flags != "" {
			var lived []float64
			if err := json.Unmarshal([]byte(p.Str(`JSON.stringify(window.lived)`)), &lived); err != nil {
				t.Fatal(err)
			}
			t.Logf("%-16s %-6s picture %s", name, what, spread(lived))
		}
		began := time.Now()
		p.fine()
		t.Logf("%-16s %-6s settled readings %.1f s after half a second of rest", name, what,
			time.Since(began).Seconds())
	}
	return all
}

// timed makes the page note what each mix of the picture takes, in the page's own time:
// window.mixes, from the first setting of a mix to the last pixel, which is read back so that what
// the graphics card does counts; window.frames, the whole drawing of the page round it.
const timed = `
window.mixes=[];window.frames=[];let from=0;
const G=WebGL2RenderingContext.prototype,set=G.uniform1fv,draw=G.drawArrays,px=new Uint8Array(4);
G.uniform1fv=function(...a){from=performance.now();return set.apply(this,a)};
G.drawArrays=function(...a){draw.apply(this,a);this.readPixels(0,0,1,1,this.RGBA,this.UNSIGNED_BYTE,px);window.mixes.push(performance.now()-from)};
const C=CanvasRenderingContext2D.prototype,make=C.createImageData,put=C.putImageData;
C.createImageData=function(...a){from=performance.now();return make.apply(this,a)};
C.putImageData=function(...a){put.apply(this,a);this.getImageData(0,0,1,1);window.mixes.push(performance.now()-from)};
const raf=window.requestAnimationFrame;
window.requestAnimationFrame=f=>raf(t=>{const a=performance.now();f(t);window.frames.push(performance.now()-a)});
`

// TestMeasureMix: a picture of 960 × 640 pixels and eight layers, mixed anew
// with every move of the hour's slider, which asks nothing of the server: with
// WebGL2, which a headless browser without a graphics card computes on the
// processor, and with the plain fallback. The server is stopped meanwhile.
func TestMeasureMix(t *testing.T) {
	full(t)
	measuring(t)
	b := browser.Profile(t)
	for _, way := range []string{"", "?plain="} {
		address, stop := serve(t, "127.0.0.1:0")
		p := open(t, b, address+"/"+way, 1440, 900)
		p.Do(chromedp.EmulateViewport(1440, 900, chromedp.EmulateScale(2)))
		p.Until("readings", ready, 60*time.Second)
		p.Run(`document.querySelector('[data-act=setup][data-arg="1"]').click()`)
		p.Until("the second setup", `document.querySelector('.setups .on')?.dataset.arg==="1" && `+ready,
			60*time.Second)
		for i := range 4 {
			p.Run(fmt.Sprintf(
				`fetch("/api/state").then(r=>r.json()).then(s=>fetch("/api/edit",{method:"POST",headers:{"Content-Type":"application/json"},body:JSON.stringify({revision:s.revision,name:"one more",edits:[{append:"setups[1].lights",value:"{name: more %d, role: accent, head: rgb panel 300, at: [%d.5, 1.2], height: 2 m, aim: sitter.face, level: 10 %%}"}]})}))`, i, 2+i))
			p.Until("one more light", fmt.Sprintf(`document.querySelectorAll(".lt .ro").length===%d`, 5+i),
				20*time.Second)
		}
		p.Until("a picture of full size", `document.getElementById("picture").width===960`, 3*time.Minute)
		stop()
		p.Run(timed)
		for i := range 60 {
			p.Run(fmt.Sprintf(
				`const e=document.querySelector("[data-act=scrub]");e.value=Number(e.min)+(Number(e.max)-Number(e.min))*%d/60;e.dispatchEvent(new Event("input",{bubbles:true}))`, i))
			p.Until("it mixed", fmt.Sprintf(`window.mixes.length>=%d`, i), 5*time.Second)
		}
		var mixes, frames []float64
		if json.Unmarshal([]byte(p.Str(`JSON.stringify(window.mixes)`)), &mixes) != nil ||
			json.Unmarshal([]byte(p.Str(`JSON.stringify(window.frames)`)), &frames) != nil {
			t.Fatal("nothing was noted")
		}
		t.Logf("%q: %s x %s pixels, %s layers: mix %s; with all of the page round it %s", way,
			p.Str(`document.getElementById("picture").width`), p.Str(`document.getElementById("picture").height`),
			p.Str(`document.querySelectorAll("#views button[data-act=alone]").length`), spread(mixes), spread(frames))
	}
}

// TestMeasurePage: time to readings and to the first picture after the start, the page's weight on
// the wire.
func TestMeasurePage(t *testing.T) {
	full(t)
	measuring(t)
	b := browser.Profile(t)
	for _, plain := range []string{"", "/?plain="} {
		began := time.Now()
		address, stop := serve(t, "127.0.0.1:0")
		p := open(t, b, address+plain, 1440, 900)
		p.Until("readings", ready, 60*time.Second)
		numbers := time.Since(began)
		p.Until("a picture", picture, 60*time.Second)
		t.Logf("%q: readings on screen %.2f s, picture %.2f s after the start of the server (browser running)", plain,
			numbers.Seconds(), time.Since(began).Seconds())
		t.Logf("%q: %s KiB as sent, uncompressed, before the first picture", plain,
			p.Str(`Math.round(performance.getEntriesByType("resource").concat(performance.getEntriesByType("navigation")).filter(e=>!e.name.includes("/api/")).reduce((s,e)=>s+e.transferSize,0)/1024)`))
		stop()
	}
}

// TestMeasureMemory drags a light round for -dragfor and tells the page's heap, after a collection,
// along the way.
func TestMeasureMemory(t *testing.T) {
	full(t)
	measuring(t)
	address, _ := serve(t, "127.0.0.1:0")
	p := openFor(t, browser.Profile(t), address, 1440, 900, *dragFor+15*time.Minute)
	p.Until("readings", ready, 60*time.Second)
	p.Run(watch)
	const parts = 6
	for i := range parts {
		x, y, _ := p.grip("light")
		n := len(p.pull(x, y, *dragFor/parts))
		// The same state each time: a film of full size is most of what there is.
		p.fine()
		p.Until("a picture of full size", `Number(document.getElementById("page").dataset.film)>=2`, 2*time.Minute)
		for range 3 { // one collection leaves what waits for its finalizer
			if _, err := chromedp.Call(p.Ctx, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
				t.Fatal(err)
			}
		}
		var m gort.MemStats
		gort.GC()
		gort.ReadMemStats(&m)
		t.Logf("after %v: page %s MiB, %s elements and %s more in the ladder, whose rungs have a part for each "+
			"light that counts; server %.1f MiB, %d changes read in this part",
			(*dragFor * time.Duration(i+1) / parts).Round(time.Second),
			p.Str(`(performance.memory.usedJSHeapSize/1048576).toFixed(1)`),
			p.Str(`document.querySelectorAll("*").length-document.querySelectorAll("#lad *").length`),
			p.Str(`document.querySelectorAll("#lad *").length`), float64(m.HeapAlloc)/(1<<20), n)
	}
}
