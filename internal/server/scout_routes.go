package server

import "halfstop/scout"

// scoutRoutes are those of the Scout screen. Photographs are held in memory and go nowhere.
var scoutRoutes = []route{
	{"GET", "/api/scout", "photographs that are held, and what of the shoot they can tell", nil, nil, ScoutView{}, "",
		(*Server).getScout},
	{"POST", "/api/scout/photo",
		"a photograph to be measured (JPEG, TIFF, PNG, a raw container with a preview): its bytes as " +
			"application/octet-stream, 256 MiB at most; it is turned upright, and the last eight are held in memory",
		[]param{
			{"name", "string", "of its file"},
		}, nil, ScoutPhoto{}, "", (*Server).postPhoto},
	{"GET", "/api/scout/picture",
		"a photograph that is held, upright, 1,600 pixels at most, without data but its pixels",
		[]param{
			{"id", "integer", "of the photograph"},
		}, nil, nil, "image/jpeg", (*Server).getScoutPicture},
	{"POST", "/api/scout/drop", "let a photograph go", nil, ScoutAsk{}, ScoutView{}, "", (*Server).postScoutDrop},
	{"POST", "/api/scout/read", "what spots of a photograph measure", nil, ScoutAsk{}, scout.Reading{}, "",
		(*Server).postScoutRead},
	change("POST", "/api/scout/lights",
		"the colours of light that the place offers, each with what of the kit makes it",
		(*Server).postScoutLights),
	change("POST", "/api/scout/put", "what to send to /api/edit to put one spot into the shoot",
		(*Server).postScoutPut),
	change("POST", "/api/scout/stand",
		"where a photograph was taken from, by four corners, and how it lies under the frame",
		(*Server).postScoutStand),
	{"POST", "/api/scout/scan",
		"a phone's scan (OBJ, GLB, glTF, PLY, STL): its bytes as application/octet-stream, 256 MiB at most; the last " +
			"one is held in memory",
		[]param{
			{"name", "string", "of its file"},
			{"with", "string", "NAME:BYTES of a file of an OBJ's materials that follows it; again for each"},
		}, nil, ScanView{}, "", (*Server).postScan},
	change("POST", "/api/scout/scan/find", "look anew at the scan that is held, with what is known of it",
		(*Server).postScanFind),
	{"POST", "/api/scout/scan/drop", "let the scan go", nil, nil, ScoutView{}, "", (*Server).postScanDrop},
	change("POST", "/api/scout/scan/put",
		"write the mesh of what stands in the room beside the shoot, and give what to send to /api/edit for the room",
		(*Server).postScanPut),
}
