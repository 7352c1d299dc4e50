package scout

import (
	"bytes"
	"encoding/binary"
	"os"
	"path/filepath"
	"testing"
)

// TestLarge: a photograph of 24 million pixels, and the same as the picture inside a raw container
// made like TIFF, are dropped on the screen and measured: the patch reads as in a small one.
func TestLarge(t *testing.T) {
	p, _ := open(t, 1440, 900)
	pic := enlarged(t, 10)
	var raw bytes.Buffer
	put := func(v any) { _ = binary.Write(&raw, binary.LittleEndian, v) }
	raw.WriteString("II*\x00")
	put(uint32(8))
	put(uint16(2))
	put([]uint16{0x0201, 4}) // where its JPEG picture begins, and its length
	put([]uint32{1, 38})
	put([]uint16{0x0202, 4})
	put([]uint32{1, uint32(len(pic)), 0})
	raw.Write(pic)
	dir := t.TempDir()
	for name, b := range map[string][]byte{"big.jpg": pic, "big.dng": raw.Bytes()} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	const facts = `document.querySelector("[data-key=scfacts]")?.textContent`
	p.Drop("[data-key=scempty]", filepath.Join(dir, "big.jpg"))
	p.Until("the large photograph", `/big\.jpg 6000 × 4000/.test(`+facts+`)`, long)
	press(p, 75, 50)
	p.Until("its luminance", `/18 cd/.test(document.querySelector("[data-key=spot0] .scfig")?.textContent)`, long)
	p.Drop("#scpic", filepath.Join(dir, "big.dng"))
	p.Until("the raw file's picture", `/big\.dng 6000 × 4000/.test(`+facts+`)`, long)
	press(p, 75, 50)
	p.Until("its level", `document.querySelector("[data-key=spot0] .scfig")?.textContent`, long)
	p.Clean()
}
