//go:build amd64 && !purego

package bvh

import "golang.org/x/sys/cpu"

//go:generate sh -c "cd gen && go run . -out ../kernel_amd64.s"

// AVX2, and the bit-scan instructions of the same years. FMA is not used: see the package comment.
var haveAsm = cpu.X86.HasAVX2 && cpu.X86.HasBMI1

// walkClosest leaves the nearest hit in q.
//
//go:noescape
func walkClosest(q *query)

// walkAny returns 1 when anything is hit.
//
//go:noescape
func walkAny(q *query) uint64
