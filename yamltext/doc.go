// Package yamltext decodes YAML strictly into Go structs, tells all mistakes at once with their
// places, and edits the text in place without touching any other byte.
//
// Decode reads struct tags:
//
//	yaml:"plan north"     the key; "-" skips the field; ",inline" spreads an embedded struct
//	need:"true"           the key must be there
//	default:"1.70 m"      decoded in place of an absent key; nested structs are filled as well
//	words:"woman|man"     the only words allowed
//	least:"0" most:"1"    bounds, for numbers and quantities (base unit) and elements of lists
//	over:"0"              must be more than this
//	count:"2|3"           how many elements a list may have
//	fill:"no"             no defaults below (kit: absent means 'as before'); so does DecodeSparse
//	like:"f/2.8 + 0.3"    an example, shown in messages
//	doc:"…"               for generated references
//
// Quantities and other scalars implement encoding.TextUnmarshaler. Types
// with several written forms implement NodeUnmarshaler. A list of scalars
// may be written as one scalar. An empty value counts as absent.
//
// It must not know what is decoded, nor read files.
package yamltext
