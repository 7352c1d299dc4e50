package server

// kitRoutes are those of the Kit screen: own kit, files of makers, what readings taught. What they
// change is written to kit/*.yaml beside the shoot in one step of undo.
var kitRoutes = []route{
	{"GET", "/api/kit/own",
		"own kit and the generic catalogue, what of it fits a search, and which heads' sheets to ask first",
		[]param{
			{"q", "string", "words and figures: 'soft, 60 cm, under 1 kg'; empty: all"},
		}, nil, OwnKitView{}, "", (*Server).getOwnKit},
	{"GET", "/api/kit/thing",
		"everything of one thing: where it is written, its settings, what its level rests on",
		[]param{
			{"list", "string", "heads, modifiers, grids, gels, panels, stands or things"},
			{"name", "string", "its name"},
		}, nil, GearView{}, "", (*Server).getThing},
	change("POST", "/api/kit/add", "copy a thing under a new name into the own kit", (*Server).postKitAdd),
	change("POST", "/api/kit/set",
		"change settings of a thing; one of the catalogue gets an entry of its own with the same name",
		(*Server).postKitSet),
	change("POST", "/api/kit/remove", "take an own thing out", (*Server).postKitRemove),
	{"POST", "/api/kit/import",
		"read a file of a maker or a meter, whose bytes are the request's body (64 MiB at most): what was read, " +
			"assumed and ignored; nothing is written",
		[]param{
			{"name", "string", "of the file"},
			{"as", "string", "what its entry is called; absent: as the file calls it"},
			{"head", "string", "the head whose light a spectrum is"},
			{"mode", "string", "of a fixture, whose channels are taken; absent: its first"},
			{"lamp_set", "integer", "of a luminaire that has several: the one fitted, from 1; absent: its first"},
			{"of", "string", "what a spectrum is of where its file does not say: reflectance, transmittance, light"},
		}, nil, ImportView{}, "", (*Server).postKitImport},
	change("POST", "/api/kit/take", "take files that were read into the own kit, all or none", (*Server).postKitTake),
	{"GET", "/api/learn",
		"what the readings of the day teach of kit and place, what of it is in force, and what to read next " +
			"(event 'progress', what 'learn')",
		nil, nil, LearnView{}, "", (*Server).getLearn},
	change("POST", "/api/learn/read", "log a reading, with the settings of the lights as they stand",
		(*Server).postLearnRead),
	change("POST", "/api/learn/back", "take a reading of the log back, or put it in force again",
		(*Server).postLearnBack),
	{"POST", "/api/learn/keep", "keep what the readings taught in kit/learned.yaml: predictions use it from then on",
		nil, nil, State{}, "", (*Server).postLearnKeep},
	change("POST", "/api/learn/forget", "take out of the files of kit what was learned of one thing",
		(*Server).postLearnForget),
}
