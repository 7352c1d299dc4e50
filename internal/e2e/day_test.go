package e2e

import (
	"context"
	"fmt"
	"regexp"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// block gives the selector of a task's block in the first lane that it lies in.
func block(task string) string { return fmt.Sprintf(`#daysvg [data-task="%s"]`, task) }

// TestDay drives the Day: a task dragged is held where it was put, and undone; the day is planned
// anew when it is late, with what is done; the kit is ticked; a sheet is looked at and printed.
func TestDay(t *testing.T) {
	t.Parallel()
	p := desk(t)
	p.Act("pane", `[data-arg=day]`)
	settled := func() {
		p.Until("the plan of this text",
			`(()=>{const d=document.getElementById("day").dataset;return d.busy!=="quick" && `+
				`d.plan==="1" && d.revision===document.getElementById("page").dataset.revision})()`, 60*time.Second)
	}
	settled()
	label := func(task string) string {
		return p.Str(fmt.Sprintf(`document.querySelector(%q).dataset.says`, block(task)))
	}

	// A drag to the right by a tenth of the clock: it is held at another minute.
	const rig = "Aisle: rig accent"
	was := label(rig)
	x, y := p.At(block(rig))
	p.Drag(x, y, 60, 0)
	p.undoSays("hold rig accent")
	settled()
	held := fmt.Sprintf(`document.querySelector(%q).dataset.says.endsWith(", held")`, block(rig))
	p.Until("the task held", held, 15*time.Second)
	now := label(rig)
	clock := regexp.MustCompile(`\d\d:\d\d`)
	if a, b := clock.FindString(was), clock.FindString(now); a == b || b < a {
		t.Errorf("dragged to the right the task went from %s to %s", a, b)
	}
	p.written(fmt.Sprintf(`{task: "Aisle: rig accent", at: "%s"}`, clock.FindString(now)))
	p.Act("pane", `[data-arg=day]`)
	p.Tap("[data-key=undo]")
	p.Until("the task where it was", fmt.Sprintf(`document.querySelector(%q).dataset.says===%q`,
		block(rig), was), 30*time.Second)
	settled()

	// It is late: the first picture has begun five minutes behind.
	p.Fill(`[data-key=daynow]`, "17:56")
	p.Until("the line of now", `document.querySelector("#daysvg .now text")?.textContent==="17:56"`, 20*time.Second)
	settled()
	p.Tap(block("Aisle: shoot"))
	p.Act("daybegun", "")
	p.Until("the picture under way", fmt.Sprintf(`document.querySelector(%q).classList.contains("run")`,
		block("Aisle: shoot")), 20*time.Second)
	settled()
	p.Act("daylate", "")
	p.Until("a plan from here", `document.querySelector(".ds").textContent.includes("planned anew from 17:56")`,
		30*time.Second)
	p.Until("one sentence for the art director",
		`document.querySelector(".ad").textContent.includes("From here we shoot Aisle now")`, 30*time.Second)
	settled()
	if p.Str(fmt.Sprintf(`document.querySelector(%q)===null`, block("Aisle: load in"))) != "true" {
		t.Error("the load-in is still to do, though a picture is being taken")
	}
	p.Shot("day-1440x900")

	// Kit: a tick stays over a reload.
	p.Act("daypart", `[data-arg=kit]`)
	p.Act("kitout", "")
	inVan := `document.querySelector("[data-act=daypart][data-arg=kit]")?.textContent.includes(" 1 of ")`
	p.Until("a thing in the van", `document.querySelector("[data-act=kitout].on") && `+inVan, 15*time.Second)
	p.Do(chromedp.Reload())
	p.Until("the tick again", inVan, 60*time.Second)

	// A sheet, printed as the browser prints the page: as many pages as there are sheets.
	p.Act("daypart", `[data-arg=papers]`)
	all := `[...document.querySelectorAll(".sheets img")]`
	p.Until("the run sheet", all+`.length>0 && `+all+`.every(i=>i.complete && i.naturalWidth>100)`, 60*time.Second)
	p.Run(`window.print=()=>{document.body.dataset.printed="1"}`)
	p.Act("dayprint", "")
	p.Until("the page's own print", `document.body.dataset.printed==="1"`, 10*time.Second)
	sheets := int(p.number(`document.querySelectorAll(".sheets img").length`))
	yes := true
	var pdf []byte
	p.Do(chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		r, err := cdp.Call(ctx, t, cdpage.PrintToPDF, cdpage.PrintToPDFParams{PreferCSSPageSize: &yes,
			PrintBackground: &yes})
		pdf = r.Data
		return err
	}))
	if n := len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1)); n != sheets {
		t.Errorf("%d sheets are printed on %d pages", sheets, n)
	}
	if !regexp.MustCompile(`MediaBox ?\[0 0 59[45]\S* 84[12]`).Match(pdf) {
		t.Errorf("the pages are not A4: %s", regexp.MustCompile(`MediaBox.{30}`).Find(pdf))
	}
	p.Clean()
}
