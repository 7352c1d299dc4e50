package server

import "halfstop/record"

// libraryRoutes are those of the library.
var libraryRoutes = []route{
	{"GET", "/api/library",
		"setups of a folder of shoots and records: by words, by facets, by look; the folder is only read",
		[]param{
			{"folder", "string", "its whole name; absent: the one that is open, else the shoot's own"},
			{"q", "string", "words and bounds: 'low key one light ceiling < 2.4 m'; empty: all"},
			{"pick", "string", "a value of a facet that must hold, as 'pattern=loop'; may come again"},
			{"like", "string", "instead: a file of the folder; what looks most like it, nearest first"},
			{"setup", "string", "with like: the setup of the file"},
		}, nil, LibraryView{}, "", (*Server).getLibrary},
	{"GET", "/api/library/picture",
		"the computed picture of a record",
		[]param{
			{"file", "string", "of the record, below the folder"},
		}, nil, nil, "image/png", (*Server).getLibraryPicture},
	{"POST", "/api/library/compare",
		"what differs between two setups, in stops, degrees, sizes and colour, and what made one softer, brighter " +
			"or warmer (event 'progress', what 'compare')",
		nil, CompareAsk{}, record.Comparison{}, "", (*Server).postCompare},
	change("POST", "/api/library/relight",
		"a record lit again in the room of the shoot that is open; nothing is changed "+
			"(event 'progress', what 'relight')",
		(*Server).postRelight),
	{"GET", "/api/library/relit",
		"the picture of what was lit again last",
		[]param{
			{"id", "integer", "as the answer had it"},
		}, nil, nil, "image/png", (*Server).getRelit},
}
