package picture

import (
	"bytes"
	"image"
	"slices"
	"testing"

	"halfstop/spectrum"
)

// Each format has a name, its endings, its words and one way to be written, and what it writes
// begins with its magic number: PNG (ISO/IEC 15948, 5.2), JPEG (ISO/IEC 10918-1, B.1.1.3), TIFF 6.0
// section 2, OpenEXR file layout.
func TestFormats(t *testing.T) {
	magic := map[string][]byte{"PNG": []byte("\x89PNG\r\n\x1a\n"), "JPEG": {0xff, 0xd8, 0xff},
		"TIFF": []byte("II*\x00"), "OpenEXR": {0x76, 0x2f, 0x31, 0x01}}
	var ends []string
	for _, f := range Formats() {
		if f.Name == "" || f.Says == "" || len(f.Ends) == 0 || (f.Encode == nil) == (f.Light == nil) ||
			magic[f.Name] == nil {
			t.Errorf("%+v has a part missing", f.Name)
			continue
		}
		ends = append(ends, f.Ends...)
		var data []byte
		var err error
		if f.Light != nil {
			data, err = f.Light(4, 3, LightPlates([][]spectrum.XYZ{make([]spectrum.XYZ, 12)}, []string{"key"}),
				spectrum.XY{X: 0.3127, Y: 0.3290})
		} else {
			data, err = f.Encode(image.NewNRGBA(image.Rect(0, 0, 4, 3)), spectrum.SRGB)
		}
		if err != nil || !bytes.HasPrefix(data, magic[f.Name]) {
			t.Errorf("%s: %v, begins with % x", f.Name, err, data[:min(len(data), 8)])
		}
		if g, ok := FormatOf("." + f.Ends[0]); !ok || g.Name != f.Name {
			t.Errorf("%s is not found by its ending", f.Name)
		}
	}
	slices.Sort(ends)
	if len(slices.Compact(ends)) != 6 {
		t.Error("an ending names two formats", ends)
	}
}
