package sheet

import (
	"bytes"
	"testing"
)

// Each format has its name, ending, words and writer; what it writes begins as the format's
// standard says (ISO 32000-1, 7.5.2; ISO/IEC 15948, 5.2; SVG 1.1, 1.3: an XML document).
func TestFormats(t *testing.T) {
	magic := map[string]string{"PDF": "%PDF-", "PNG": "\x89PNG\r\n\x1a\n", "SVG": "<"}
	d := mustDraw(t, aisle(), Options{})
	for _, f := range Formats() {
		if f.Name == "" || f.End == "" || f.Says == "" || f.Write == nil || magic[f.Name] == "" {
			t.Errorf("%q has a part missing", f.Name)
			continue
		}
		data, err := f.Write(d, 1, 40)
		if err != nil || !bytes.HasPrefix(data, []byte(magic[f.Name])) {
			t.Errorf("%s: %v, begins with % x", f.Name, err, data[:min(len(data), 8)])
		}
		if g, ok := FormatOf("." + f.End); !ok || g.Name != f.Name {
			t.Errorf("%s is not found by its ending", f.Name)
		}
	}
}
