// Package photometry holds the luminous intensity of a luminaire by direction: it reads and writes
// the two file formats that carry it (ANSI/IES LM-63 and EULUMDAT), and answers candela, flux and
// samples.
//
// It must not know heads, shoots, files on disk or light transport. A file named by another file
// (TILT) is asked for through a function.
//
// # The frame
//
// Directions are given in the luminaire's own frame (S, T, N as in geom.Frame, here x, y, z). N is
// where the luminaire is aimed: the direction gamma = 0 of type C, and the direction (0, 0) of
// types A and B.
//
//	type C   gamma is the angle from N; C turns from S (C = 0) towards -T (C = 90)
//	type B  direction = (-sin H, cos H sin V, cos H cos V): the poles lie on S, as for floodlights
//	type A  direction = (-cos V sin H, sin V, cos V cos H): poles on T, as for vehicle lamps
//
// A ceiling luminaire of type C has N down. A spotlight measured as type C has its beam at gamma =
// 0, so N is its aim.
//
// The sense is that of LM-63-2002 (definition of 'horizontal angles'): counterclockwise in a
// horizontal plane for type C, clockwise for types A and B, seen from above. With N down and S = +x
// that is anticlockwise on the plan, C90 towards +y; the road coordinates of CIE 140 turn the same
// way. With N level and T up, H grows to the right of one who looks along N. docs/photometry.md
// shows it on a plan. Check: TestSense, stage TestPlaneC0OnThePlan.
package photometry
