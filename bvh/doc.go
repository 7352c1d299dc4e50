// Package bvh finds where rays meet triangles: the nearest hit, or whether there is any.
//
// It must not know light, scenes or materials: corner positions and indices go in, distances and
// indices come out.
//
// Two trees stand behind one Tree. The wide one (eight boxes a node, eight triangles a leaf, side
// by side) is walked by assembly (kernel_amd64.s, written by the module in gen) on amd64 processors
// with AVX2 and BMI1; plain Go walks the same tree as its twin. The portable one (four boxes a
// node, leaves of a pair or two of neighbouring triangles) is what machines without the assembly
// get. All three do the same float32 operations on a triangle in the same order, without fused
// multiply-add, and a tie goes to the lowest index, so they give the same bits: TestTwins,
// TestBits, TestPairs.
//
// The triangle test is watertight (Woop, Benthin and Wald 2013): no ray slips through an edge or a
// corner that triangles share. TestLeaks aims 500,000 rays at edges and corners of a closed mesh
// and allows none to slip.
//
// Limits. A call into assembly cannot be preempted (one ray, microseconds). Bad input never panics
// or hangs: triangles that cannot be met are left out (Build, Check), rays without a usable origin
// or direction meet nothing (Ray).
package bvh
