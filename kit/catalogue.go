package kit

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"sync"

	"halfstop/diag"
	"halfstop/yamltext"
)

//go:embed catalogue/*.yaml
var catalogue embed.FS

// Decode reads a kit file. Its entries take nothing from elsewhere yet: Merge(Catalogue(), kit)
// completes them.
func Decode(name string, src []byte) (Kit, diag.List) {
	var k Kit
	_, list := yamltext.Decode(name, src, &k)
	return k, list
}

// Catalogue returns the generic catalogue. Check: TestCatalogueLoads.
func Catalogue() Kit { return loaded() }

var loaded = sync.OnceValue(func() Kit {
	k, list := load()
	if len(list) > 0 {
		panic(fmt.Sprintf("kit catalogue: %s:%d: %s", list[0].Pos.File, list[0].Pos.Line, list[0].Text))
	}
	return k
})

func load() (Kit, diag.List) {
	var all Kit
	var list diag.List
	files, err := catalogue.ReadDir("catalogue")
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		src, err := catalogue.ReadFile(path.Join("catalogue", f.Name()))
		if err != nil {
			panic(err)
		}
		k, l := Decode(f.Name(), src)
		list = append(list, l...)
		all = Kit{
			Heads: slices.Concat(all.Heads, k.Heads), Modifiers: slices.Concat(all.Modifiers, k.Modifiers),
			Grids: slices.Concat(all.Grids, k.Grids), Gels: slices.Concat(all.Gels, k.Gels),
			Panels: slices.Concat(all.Panels, k.Panels), Stands: slices.Concat(all.Stands, k.Stands),
			Surfaces: slices.Concat(all.Surfaces, k.Surfaces), Things: slices.Concat(all.Things, k.Things),
		}
	}
	return all, list
}
