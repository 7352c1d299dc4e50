// Command gen writes the assembly of package bvh.
//
//	go run . -out ../kernel_amd64.s
//
// It uses no fused multiply-add: see package bvh.
package main

import (
	"flag"
	"math"

	. "github.com/mmcloughlin/avo/build"
	. "github.com/mmcloughlin/avo/operand"
	. "github.com/mmcloughlin/avo/reg"
)

// Offsets in query, node and leaf; TestLayout checks them against the Go types.
const (
	qO, qInv, qTmin, qBest, qPrim, qLeaf, qLane, qCull = 0, 12, 36, 40, 44, 48, 52, 56
	qSide, qNodes, qLeaves                             = 64, 88, 96
	nChild, nodeShift                                  = 192, 8
	qAxis, qOk, qShear                                 = 104, 128, 140
	lPrim                                              = 288
	stackLen                                           = 256
)

const ( // VCMPPS predicates, quiet
	eq, le, ge, gt = 0, 18, 29, 30
)

var (
	padding Mem
	signBit Mem
	largest Mem
)

func main() {
	flag.Parse()
	ConstraintExpr("amd64,!purego")
	padding = eight("pad", math.Float32bits(1.000004))
	signBit = eight("sign", 1<<31)
	largest = eight("inf", math.Float32bits(float32(math.Inf(1))))
	walk("walkClosest", false)
	walk("walkAny", true)
	Generate()
}

func eight(name string, bits uint32) Mem {
	m := GLOBL(name, NOPTR|RODATA)
	for i := range 8 {
		DATA(4*i, U32(bits))
	}
	return m
}

type vec [3]VecVirtual

func newVec() vec { return vec{YMM(), YMM(), YMM()} }

func (v vec) load(q Register, off int) {
	for a := range 3 {
		VBROADCASTSS(Mem{Base: q, Disp: off + 4*a}, v[a])
	}
}

// boxes leaves entry distances in t0 and the bits of the children met in mask.
func boxes(np Register, near, far func(a int) Mem, o, inv vec, tmin Mem, best, t0 VecVirtual, mask GPVirtual) {
	t1, x := YMM(), YMM()
	slab := func(m Mem, a int, dst VecVirtual) {
		VMOVUPS(m, dst)
		VSUBPS(o[a], dst, dst)
		VMULPS(inv[a], dst, dst)
	}
	slab(near(0), 0, t0)
	slab(near(1), 1, x)
	VMAXPS(x, t0, t0)
	slab(near(2), 2, x)
	VMAXPS(x, t0, t0)
	VBROADCASTSS(tmin, x)
	VMAXPS(x, t0, t0)
	slab(far(0), 0, t1)
	slab(far(1), 1, x)
	VMINPS(x, t1, t1)
	slab(far(2), 2, x)
	VMINPS(x, t1, t1)
	VMINPS(best, t1, t1)
	VMULPS(padding, t1, t1)
	VCMPPS(Imm(le), t1, t0, t1)
	VMOVMSKPS(t1, mask)
}

// tris tests a leaf: mask gets the triangles hit, t their distances.
// It jumps to miss when there are none.
// The steps are those of (*leaf).solve, in its order.
func tris(q, lp Register, best VecVirtual, t VecVirtual, mask GPVirtual, miss string) {
	ok, shear := newVec(), vec{YMM(), YMM()}
	ok.load(q, qOk)
	VBROADCASTSS(Mem{Base: q, Disp: qShear}, shear[0])
	VBROADCASTSS(Mem{Base: q, Disp: qShear + 4}, shear[1])
	axis := [3]GPVirtual{GP64(), GP64(), GP64()}
	for a := range 3 {
		MOVQ(Mem{Base: q, Disp: qAxis + 8*a}, axis[a])
	}
	corner := func(c, a int, dst VecVirtual) {
		VMOVUPS(Mem{Base: lp, Index: axis[a], Scale: 1, Disp: 96 * c}, dst)
		VSUBPS(ok[a], dst, dst)
	}
	x, y, e := newVec(), newVec(), newVec()
	z, tmp := YMM(), YMM()
	for c := range 3 {
		corner(c, 2, z)
		corner(c, 0, x[c])
		VMULPS(z, shear[0], tmp)
		VSUBPS(tmp, x[c], x[c])
		corner(c, 1, y[c])
		VMULPS(z, shear[1], tmp)
		VSUBPS(tmp, y[c], y[c])
	}
	for c := range 3 {
		i, j := (c+1)%3, (c+2)%3
		VMULPS(y[j], x[i], e[c])
		VMULPS(x[j], y[i], tmp)
		VSUBPS(tmp, e[c], e[c])
	}
	det, sg, m := YMM(), YMM(), YMM()
	VADDPS(e[1], e[0], det)
	VADDPS(e[2], det, det)
	VANDPS(signBit, det, sg)
	for c := range 3 {
		VXORPS(sg, e[c], e[c])
	}
	VMINPS(e[1], e[0], m)
	VMINPS(e[2], m, m)
	VXORPS(tmp, tmp, tmp)
	VCMPPS(Imm(ge), tmp, m, m)
	VTESTPS(m, m)
	JZ(LabelRef(miss))
	VXORPS(sg, det, det)
	corner(0, 2, t)
	VMULPS(e[0], t, t)
	for c := 1; c < 3; c++ {
		corner(c, 2, z)
		VMULPS(e[c], z, z)
		VADDPS(z, t, t)
	}
	VBROADCASTSS(Mem{Base: q, Disp: qShear + 8}, z)
	VMULPS(z, t, t)
	VDIVPS(det, t, t)
	VBROADCASTSS(Mem{Base: q, Disp: qTmin}, tmp)
	VCMPPS(Imm(gt), tmp, t, tmp)
	VANDPS(tmp, m, m)
	VCMPPS(Imm(le), best, t, tmp)
	VANDPS(tmp, m, m)
	VMOVMSKPS(m, mask)
	TESTL(mask, mask)
	JZ(LabelRef(miss))
	VMOVUPS(largest, tmp)
	VBLENDVPS(m, t, tmp, t)
}

// nearest finds the smallest of t and the lowest lane that holds it.
func nearest(t VecVirtual, tbits, lane GPVirtual) {
	a, b := YMM(), YMM()
	VPERM2F128(Imm(1), t, t, a)
	VMINPS(a, t, a)
	VSHUFPS(Imm(0x4e), a, a, b)
	VMINPS(b, a, a)
	VSHUFPS(Imm(0xb1), a, a, b)
	VMINPS(b, a, a)
	VMOVD(a.AsX(), tbits)
	VCMPPS(Imm(eq), a, t, b)
	VMOVMSKPS(b, lane)
	TZCNTL(lane, lane)
}

func leafAddr(cur GPVirtual, q Register, lp GPVirtual) {
	MOVL(cur.As32(), lp.As32())
	NOTL(lp.As32())
	LEAQ(Mem{Base: lp, Index: lp, Scale: 4}, lp)
	SHLQ(Imm(6), lp)
	ADDQ(Mem{Base: q, Disp: qLeaves}, lp)
}

// take keeps the nearest lane if it beats what q holds, else jumps to no.
func take(q, lp Register, cur GPVirtual, t VecVirtual, no string) {
	tb, lane, prim := GP32(), GP64(), GP32()
	nearest(t, tb, lane.As32().(GPVirtual))
	MOVL(Mem{Base: lp, Disp: lPrim, Index: lane, Scale: 4}, prim)
	CMPL(tb, Mem{Base: q, Disp: qBest})
	JNE(LabelRef("take"))
	CMPL(prim, Mem{Base: q, Disp: qPrim})
	JCC(LabelRef(no))
	Label("take")
	MOVL(tb, Mem{Base: q, Disp: qBest})
	cull := XMM()
	VMOVD(tb, cull)
	VMULSS(padding, cull, cull)
	VMOVSS(cull, Mem{Base: q, Disp: qCull})
	MOVL(prim, Mem{Base: q, Disp: qPrim})
	MOVL(lane.As32(), Mem{Base: q, Disp: qLane})
	id := GP32()
	MOVL(cur.As32(), id)
	NOTL(id)
	MOVL(id, Mem{Base: q, Disp: qLeaf})
}

func setup(q Register, o, inv vec) {
	o.load(q, qO)
	inv.load(q, qInv)
}

func walk(name string, any bool) {
	sig := "func(q *byte)"
	if any {
		sig = "func(q *byte) uint64"
	}
	TEXT(name, 0, sig)
	if any {
		Doc(name + " reports whether the ray of q meets a triangle.")
	} else {
		Doc(name + " finds the nearest triangle that the ray of q meets.")
	}
	q := Load(Param("q"), GP64())
	stack := AllocLocal(stackLen * 8)
	keys := AllocLocal(64)
	var side [6]GPVirtual
	for a := range 3 {
		side[a], side[a+3] = GP64(), GP64()
		MOVQ(Mem{Base: q, Disp: qSide + 8*a}, side[a])
		MOVQ(side[a], side[a+3])
		XORQ(Imm(32), side[a+3])
	}
	o, inv, best := newVec(), newVec(), YMM()
	setup(q, o, inv)
	VBROADCASTSS(Mem{Base: q, Disp: qBest}, best)
	sp, cur, mask := GP64(), GP64(), GP32()
	XORL(sp.As32(), sp.As32())
	XORL(cur.As32(), cur.As32())
	slot := func(i GPVirtual, d int) Mem { return stack.Offset(8*d).Idx(i, 8) }

	Label("loop")
	TESTL(cur.As32(), cur.As32())
	JS(LabelRef("leaf"))
	np := GP64()
	// Never negative here. Not MOVL: avo drops a MOVL onto itself, and with it
	// the clearing of the upper half.
	MOVLQSX(cur.As32(), np)
	SHLQ(Imm(nodeShift), np)
	ADDQ(Mem{Base: q, Disp: qNodes}, np)
	t0 := YMM()
	boxes(np, func(a int) Mem { return Mem{Base: np, Index: side[a], Scale: 1} },
		func(a int) Mem { return Mem{Base: np, Index: side[a+3], Scale: 1} }, o, inv,
		Mem{Base: q, Disp: qTmin}, best, t0, mask)
	TESTL(mask, mask)
	JZ(LabelRef("pop"))
	k, rest := GP64(), GP32()
	TZCNTL(mask, k.As32())
	BLSRL(mask, rest)
	JNZ(LabelRef("several"))
	MOVL(Mem{Base: np, Disp: nChild, Index: k, Scale: 4}, cur.As32())
	JMP(LabelRef("loop"))

	Label("several")
	if any {
		// Order does not matter to the answer: push all but the first.
		MOVL(Mem{Base: np, Disp: nChild, Index: k, Scale: 4}, cur.As32())
		c := GP64()
		Label("push")
		TZCNTL(rest, k.As32())
		MOVL(Mem{Base: np, Disp: nChild, Index: k, Scale: 4}, c.As32())
		MOVQ(c, slot(sp, 0))
		INCQ(sp)
		BLSRL(rest, rest)
		JNZ(LabelRef("push"))
		JMP(LabelRef("loop"))
	} else {
		ch, lo, hi := YMM(), YMM(), YMM()
		VMOVUPS(Mem{Base: np, Disp: nChild}, ch)
		VUNPCKLPS(t0, ch, lo)
		VUNPCKHPS(t0, ch, hi)
		VMOVUPS(lo.AsX(), keys)
		VMOVUPS(hi.AsX(), keys.Offset(16))
		VEXTRACTF128(Imm(1), lo, keys.Offset(32))
		VEXTRACTF128(Imm(1), hi, keys.Offset(48))
		a, b, c := GP64(), GP64(), GP64()
		MOVQ(keys.Idx(k, 8), a)
		TZCNTL(rest, k.As32())
		MOVQ(keys.Idx(k, 8), b)
		MOVQ(a, c)
		CMPQ(a, b)
		CMOVQHI(b, a) // a the nearer
		CMOVQHI(c, b)
		MOVQ(b, slot(sp, 0))
		BLSRL(rest, rest)
		JNZ(LabelRef("more"))
		INCQ(sp)
		MOVQ(a, cur)
		JMP(LabelRef("loop"))

		Label("more")
		base, j, key, prev := GP64(), GP64(), GP64(), GP64()
		MOVQ(sp, base)
		MOVQ(a, slot(sp, 1))
		ADDQ(Imm(2), sp)
		Label("each")
		TZCNTL(rest, k.As32())
		MOVQ(keys.Idx(k, 8), key)
		MOVQ(sp, j)
		Label("shift")
		MOVQ(slot(j, -1), prev)
		CMPQ(prev, key)
		JCC(LabelRef("place"))
		MOVQ(prev, slot(j, 0))
		DECQ(j)
		CMPQ(j, base)
		JNE(LabelRef("shift"))
		Label("place")
		MOVQ(key, slot(j, 0))
		INCQ(sp)
		BLSRL(rest, rest)
		JNZ(LabelRef("each"))
		DECQ(sp)
		MOVQ(slot(sp, 0), cur)
		JMP(LabelRef("loop"))
	}

	Label("leaf")
	lp, t := GP64(), YMM()
	leafAddr(cur, q, lp)
	tris(q, lp, best, t, mask, "missed")
	if any {
		VZEROUPPER()
		one := GP64()
		MOVQ(U32(1), one)
		Store(one, ReturnIndex(0))
		RET()
	} else {
		take(q, lp, cur, t, "missed")
		VBROADCASTSS(Mem{Base: q, Disp: qBest}, best)
	}
	Label("missed")
	setup(q, o, inv)

	Label("pop")
	SUBQ(Imm(1), sp)
	JCS(LabelRef("done"))
	MOVQ(slot(sp, 0), cur)
	if !any {
		far := GP64()
		MOVQ(cur, far)
		SHRQ(Imm(32), far)
		CMPL(far.As32(), Mem{Base: q, Disp: qCull})
		JHI(LabelRef("pop"))
	}
	JMP(LabelRef("loop"))

	Label("done")
	VZEROUPPER()
	if any {
		zero := GP64()
		XORL(zero.As32(), zero.As32())
		Store(zero, ReturnIndex(0))
	}
	RET()
}
