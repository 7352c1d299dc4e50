// Package figure draws the sitter: a parametric head and body as a triangle mesh with named
// landmarks.
//
// Every shape is a formula of this room; nothing is read. The lower face is a loft of four drawn
// curves, the skull three eggs, the features small solids joined with rounded unions and soft dabs;
// clothes are offset shells with folds; hair is a mass with locks laid over it. Surface nets on a
// graded grid turn the fields into triangles. Before that, fit measures the finished field and
// corrects the drawing, so that the mesh has the lengths asked.
//
// It must not know light, cameras, what skin or cloth reflects, rooms, or files.
//
//	p := figure.Woman()
//	p.Stature, p.Pose, p.Turn, p.Detail = 1.70, figure.Seated, 20, figure.Shadow
//	m := figure.Build(p).Placed(geom.V(4.4, 2.1, 0), figure.YawTo(dir))
//	face := m.Landmarks["face"] // At, Normal
//
// # Scene space
//
// Metres, z up. The sitter is built on the floor z = 0 with the hips over the origin, chest to +y,
// so the sitter's own left is -x. Placed turns and moves it. A seated sitter sits on Params.Seat
// above z = 0; on a seat too high for the legs the feet hang.
//
// # Landmarks
//
// All names, 'left' and 'right' being the sitter's own: eye left, eye right (front of the cornea,
// looking along the gaze), eyes (between them), nose tip, sellion, subnasale, forehead, cheek left,
// cheek right, face (half way down the ridge of the nose, with the direction of the face as its
// normal), chin, menton, ear left, ear right, crown, hair left, hair right, hair back, hair edge
// left, hair edge right (the outline at temple height as seen from in front, where it turns 25
// degrees backwards), throat, chest, shoulder left, shoulder right, hand left, hand right, knee
// left, knee right, knees, foot left, foot right, feet. The hair's are on the skin where there is
// no hair. They are the same points at every Detail, and each mesh passes within 2 mm of them
// (loose locks may lie up to 4 mm over a hair landmark). A receptor should stand off 5 mm.
//
// # Cost
//
// A standing man in jumper and trousers with short hair, processor seconds of head and of the rest
// (both halves run on all cores):
//
//	Shadow      14,000 triangles   0.04 + 0.04 s   meter readings
//	Far        168,000 triangles   0.5 + 0.3 s     whole figure in the frame
//	Portrait   768,000 triangles   2.6 + 1.0 s     half length to head and shoulders
//	Close    1,300,000 triangles   about 6 s       face fills the frame
//
// A coat with its lapels takes twice the rest. A kept Head leaves only the rest to do when the head
// turns, or pose and clothes change.
package figure
