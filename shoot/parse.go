package shoot

import (
	"halfstop/diag"
	"halfstop/kit"
	"halfstop/yamltext"
)

// Current is the version of the file format that this program writes.
const Current = 1

// Options are what Parse may use in addition to the text.
type Options struct {
	Kit []KitFile // own kit found beside the shoot, laid one over the other; the shoot's own 'kit:' lies over all
	// Doc is src as already parsed by yamltext without a message (see yamltext.Doc.Edited). Nil:
	// Parse parses it.
	Doc *yamltext.Doc
}

// KitFile is the text of one file of own kit.
type KitFile struct {
	Name string
	Src  []byte
}

// Parse reads a shoot.
//
// All mistakes are reported at once, in file order: those of the YAML, of the settings
// (yamltext.Decode) and of what they mean together (codes shoot.*). File and Doc are never nil;
// with messages of severity Error, File is fit for completion only. A file of an older version is
// migrated; Doc then holds the migrated text. Check: TestParse*, FuzzParse.
func Parse(name string, src []byte, opts Options) (*File, *yamltext.Doc, diag.List) {
	f := &File{}
	doc, list := opts.Doc, diag.List(nil)
	if doc != nil {
		list = yamltext.DecodeDoc(doc, f)
	} else {
		doc, list = yamltext.Decode(name, src, f)
	}
	if v, known := versionOf(doc); known && v != Current {
		f = &File{}
		src, _, err := Migrate(name, src)
		if err != nil {
			return f, doc, diag.Messages(err)
		}
		doc, list = yamltext.Decode(name, src, f)
	}
	own := []ownKit{{f.Kit, doc, "kit."}}
	for _, k := range opts.Kit {
		o := ownKit{}
		var l diag.List
		o.doc, l = yamltext.DecodeSparse(k.Name, k.Src, &o.kit)
		list = append(list, l...)
		f.Kit = kit.Merge(o.kit, f.Kit)
		own = append(own, o)
	}
	if doc.Root == nil {
		return f, doc, list
	}
	c := &checker{doc: doc, file: f, list: list}
	c.all()
	c.equipment(own)
	c.list.Sort()
	return f, doc, c.list
}
