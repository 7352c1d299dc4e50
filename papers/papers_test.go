package papers

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"halfstop/answer"
	"halfstop/day"
	"halfstop/shoot"
)

const two = `
halfstop: 1
shoot:
  title: Two chairs, a stair; and ümläute
  date: 2026-03-14
  place: {zone: Europe/London}
  hours: {access: "09:00", sitter: "09:30", strike: "11:00", out: "11:45"}
day:
  people: [{name: Photographer, does: [photographer]}, {name: Assistant, does: [assistant]}]
room:
  size: [5, 4, 2.7]
  circuits: [{name: ring A, volts: 230 V, amps: 13 A, outlets: [[0, 2]]}]
setups:
  - name: One
    priority: 1
    notes: She waits for a train that does not come.
    camera: {at: [4, 2], height: 1.5 m}
    sitter: {at: [1.5, 2]}
    lights:
      - {role: key, head: battery head 500, modifier: octa 90, at: [2.5, 3], height: 2 m, power: 1/8}
      - {role: fill, head: rgb panel 300, at: [2.5, 1], height: 1.4 m, level: 40 %, outlet: ring A}
  - name: Two
    priority: 2
    camera: {at: [4, 1], height: 1.5 m}
    sitter: {at: [1.5, 2]}
    lights:
      - {role: key, head: battery head 500, modifier: softbox 60x90, at: [2, 0.8], height: 2 m, power: 1/4}
`

// made gathers a shoot as the command does, without light: what a paper needs of readings is put
// in by hand.
func made(t *testing.T, text string) *Shoot {
	t.Helper()
	f, doc, list := shoot.Parse("shoot.yaml", []byte(text), shoot.Options{})
	if err := list.Err(); err != nil {
		t.Fatal(err)
	}
	j := &answer.Job{File: f, Doc: doc}
	d, _, err := j.Day(t.Context(), answer.DayWork{Days: 200, Seed: 1, Progress: day.Progress{}})
	if err != nil {
		t.Fatal(err)
	}
	k, err := j.Pack(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	s := &Shoot{File: f, Day: d, Pack: k, Printed: "2026-03-13 18:02", Made: "1.0"}
	for i := range f.Setups {
		r := answer.SetupReadings{Points: []answer.PointJSON{{Name: "face key side", Receptor: "flat",
			FNumber: 5.6, FText: "f/5.6 + 0.0", Uncertainty: 0.5}}}
		s.Setups = append(s.Setups, Setup{Setup: &f.Setups[i], Readings: r, Assumed: []answer.Assumption{
			{Words: "walls assumed white emulsion, 80 %", Point: "face shadow side", Stops: 0.34},
			{Words: "floor assumed oak floor, 30 %", Point: "face key side", Stops: 0.06}}})
	}
	return s
}

// pdfText reads a document with an independent reader.
func pdfText(t *testing.T, pdf []byte) string {
	t.Helper()
	if _, err := exec.LookPath("pdftotext"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("pdftotext is missing: apt-get install poppler-utils")
		}
		t.Skip("=== NO pdftotext: THE PAPERS ARE NOT READ BACK ===")
	}
	path := filepath.Join(t.TempDir(), "p.pdf")
	if err := os.WriteFile(path, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", path, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// TestPapersSay: each paper says what it is for, read back from the PDF; what the shoot does not
// say is a line.
func TestPapersSay(t *testing.T) {
	s := made(t, two)
	for name, want := range map[string][]string{
		"looks":  {"Look: One", "She waits for a train that does not come.", "who approves"},
		"call":   {"crew in", "09:00", "Photographer", "nearest emergency hospital", "09:30"},
		"run":    {"ONE: shoot", "load in", "days of 100 in time", "strike and pack"},
		"shots":  {"1 One", "50 mm", "f/4", "hero frame", "01_one_"},
		"change": {"Change: One → Two", "key: move, octa 90 to softbox 60x90, 1/4", "Assistant"},
		"kit":    {"battery head 500", "sandbag", "memory card", "Cases"},
		"power":  {"Circuit ring A", "2990 W", "rgb panel 300", "Cable runs"},
		"venue":  {"haze", "no", "Put back", "alarm armed again"},
		"risk":   {"exits and ways", "seen to", "first aider"},
		"log": {"face key side", "f/5.6", "light alone", "what nobody stated", "walls assumed white emulsion, 80 %",
			"±0.3", "face shadow side", "found to be"},
	} {
		ps, err := Find([]string{name})
		if err != nil {
			t.Fatal(err)
		}
		d := Make(s, ps...)
		if d == nil {
			t.Fatalf("no paper %s", name)
		}
		text := pdfText(t, d.PDF())
		for _, w := range append(want, "printed 2026-03-13 18:02") {
			if !strings.Contains(text, w) {
				t.Errorf("%s does not say %q:\n%s", name, w, text)
			}
		}
		if strings.Contains(text, "safe ") {
			t.Errorf("%s calls something safe", name)
		}
		if len(d.Notes()) > 0 {
			t.Errorf("%s: %v", name, d.Notes())
		}
	}
	if _, err := Find([]string{"loks"}); err == nil || !strings.Contains(err.Error(), `write "looks"`) {
		t.Error(err)
	}
}

// TestBookmarks: one document has a bookmark for every paper, in the order of the book.
func TestBookmarks(t *testing.T) {
	pdf := Make(made(t, two), All()...).PDF()
	if n := bytes.Count(pdf, []byte("/Dest[")); n < 12 {
		t.Errorf("%d bookmarks", n)
	}
	if !bytes.Contains(pdf, []byte("/PageMode/UseOutlines")) || bytes.Contains(pdf, []byte("/Author")) {
		t.Error("no outline, or an author")
	}
}

// TestCalendar holds to RFC 5545: lines end with CRLF and have at most 75 octets, no character is
// cut, text is escaped, times are in UTC where the zone is known (London is UTC on that day).
func TestCalendar(t *testing.T) {
	s := made(t, two)
	s.Day.Sentence = strings.Repeat("Ümläute, und; so weiter\n", 12)
	b, err := Calendar(s, "", time.Date(2026, 3, 13, 18, 2, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasSuffix(b, []byte("\r\n")) || bytes.Contains(bytes.ReplaceAll(b, []byte("\r\n"), nil),
		[]byte("\n")) {
		t.Error("a line does not end with CRLF")
	}
	for _, l := range strings.Split(string(b), "\r\n") {
		if len(l) > 75 || !utf8.ValidString(l) {
			t.Errorf("%d octets: %q", len(l), l)
		}
	}
	flat := strings.ReplaceAll(string(b), "\r\n ", "")
	for _, want := range []string{"BEGIN:VCALENDAR", "DTSTART:20260314T090000Z",
		`SUMMARY:Two chairs\, a stair\; and ümläute: crew`, "SUMMARY:Shoot One",
		`DESCRIPTION:Ümläute\, und\; so weiter\n`, "DTSTAMP:20260313T180200Z"} {
		if !strings.Contains(flat, want) {
			t.Errorf("no %q in\n%s", want, flat)
		}
	}
	if n := strings.Count(flat, "BEGIN:VEVENT"); n != 3 || n != strings.Count(flat, "END:VEVENT") {
		t.Errorf("%d events; the call and two setups are 3", n)
	}
	mine, err := Calendar(s, "assistant", time.Unix(0, 0))
	if err != nil || bytes.Contains(mine, []byte("SUMMARY:Shoot")) || !bytes.Contains(mine,
		[]byte("SUMMARY:load in")) {
		t.Errorf("%v %s", err, mine)
	}
	s.File.Shoot.Date = ""
	if _, err := Calendar(s, "", time.Unix(0, 0)); err == nil {
		t.Error("a day without a date is in a calendar")
	}
}

// independent runs a reader that is not ours on some bytes; without it the test is skipped loudly.
func independent(t *testing.T, data []byte, end string, needs []string, name string, args ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "paper."+end)
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	if len(needs) > 0 {
		if err := exec.Command(needs[0], needs[1:]...).Run(); err != nil {
			t.Skipf("=== NO %s: THE PAPERS ARE NOT READ BY AN INDEPENDENT READER ===", strings.Join(needs, " "))
		}
	}
	out, err := exec.Command(name, append(args, path)...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %v: %v\n%s", name, args, err, out)
	}
	return string(out)
}

// TestCalendarRead: an independent library (python3-icalendar of Debian) reads the calendar and
// finds the same events at the same times.
func TestCalendarRead(t *testing.T) {
	s := made(t, two)
	s.Day.Sentence = strings.Repeat("Ümläute, und; so weiter\n", 12)
	b, err := Calendar(s, "", time.Date(2026, 3, 13, 18, 2, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	const read = `import sys, icalendar
c = icalendar.Calendar.from_ical(open(sys.argv[1], "rb").read())
print(c["VERSION"])
for e in c.walk("VEVENT"):
    print(e["SUMMARY"], e.decoded("DTSTART").isoformat(), e.decoded("DTEND") > e.decoded("DTSTART"))
    d = str(e.get("DESCRIPTION", ""))
    if d.startswith("Ü"): print(len(d), d.count("\n"))
`
	out := independent(t, b, "ics", []string{"/usr/bin/python3", "-c", "import icalendar"}, "/usr/bin/python3",
		"-c", read)
	for _, want := range []string{"2.0\n", "Two chairs, a stair; and ümläute: crew 2026-03-14T09:00:00+00:00 True",
		"Shoot One 2026-03-14T", "Shoot Two 2026-03-14T", "288 12\n"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
}

// TestValid: an independent reader (qpdf) finds nothing wrong with the book's structure, in A4 and
// letter.
func TestValid(t *testing.T) {
	for _, letter := range []bool{false, true} {
		s := made(t, two)
		s.Letter = letter
		out := independent(t, Make(s, All()...).PDF(), "pdf", []string{"qpdf", "--version"}, "qpdf", "--check")
		if !strings.Contains(out, "No syntax or stream encoding errors found") {
			t.Errorf("letter %v: %s", letter, out)
		}
	}
}

// TestShort: a version between releases is its commit, a release is itself.
func TestShort(t *testing.T) {
	for v, want := range map[string]string{"v1.2.0 linux": "v1.2.0",
		"v0.0.0-20261129224134-20f4a5c8ba3e+dirty x": "20f4a5c",
		"test": "test", "": ""} {
		if got := Short(v); got != want {
			t.Errorf("%q: %q, want %q", v, got, want)
		}
	}
}

// TestTables: the tables are whole: as many cells in every row.
func TestTables(t *testing.T) {
	s := made(t, two)
	for i, f := range []func(*Shoot) ([]byte, error){Schedule, ReadingsTable, KitTable} {
		b, err := f(s)
		if err != nil || bytes.Count(b, []byte("\n")) < 3 {
			t.Errorf("table %d: %v\n%s", i, err, b)
		}
	}
}

// ExampleFind names the papers.
func ExampleFind() {
	ps, _ := Find([]string{"run", "kit"})
	for _, p := range ps {
		fmt.Println(p.Name)
	}
	// Output:
	// run
	// kit
}
