package bvh

import "math"

// node4 is 128 bytes: per axis the four low planes then the four high ones, then the children, the
// smallest box last. A child is a node index, or the complement of (first pair << 3 | count - 1).
// An unused child has an inside-out box.
type node4 struct {
	b     [24]float32
	child [4]int32
	_     [4]int32
}

const node4Bytes, pair4Bytes = 128, 64

// stackLen4 is the room for pending children in a walk of the portable tree; Build never makes one
// that needs more. A node writes three or four whether it meets them or not. The room is zeroed for
// each ray.
const stackLen4 = 64

// padSteps is pad in steps of float32: from 34 to 67 of them, by where in its octave a number lies.
const padSteps = 67

// walked is the child that lies at the bottom of the stack: nothing is left.
const walked = math.MinInt32

// four is the number of children. The compiler must not know: the bounds check it makes between two
// children parts their instructions, which it otherwise starts all at once, with three times the
// registers there are.
var four = 4

// The walks have few branches that depend on the ray, since a mispredicted one costs more than a
// box. The compiler makes no conditional moves of what an address comes from, as the next child
// does; over bits of a float it loses sight of that.
func hide(x uint64) uint64 { return math.Float64bits(math.Float64frombits(x)) }

// Leaf size in pairs, and the prices of nodes in tests of a pair, chosen by BenchmarkRoom.
const (
	leafMax4  = 2
	splitAt4  = 1
	nodeCost4 = 1.5
)

// signs returns where in node4.b the near planes and the far ones begin, axis by axis.
func (q *query) signs() (nx, ny, nz, fx, fy, fz int) {
	nx, ny, nz = int(q.side[0]>>5&1)*4, int(q.side[1]>>5&1)*4+8, int(q.side[2]>>5&1)*4+16
	return nx, ny, nz, (nx ^ 4) & 4, (ny ^ 4) & 12, (nz ^ 4) & 20
}

// place sets the box of child k.
func (n *node4) place(k int, b *box) {
	for a := range 3 {
		n.b[8*a+k], n.b[8*a+4+k] = b.planes(a)
	}
}

// closest4 leaves the nearest hit in q. A child that is missed gets key 0. The nearest of the
// others is next, the rest are sorted, which puts zeros last, and left on the stack with the
// farthest first. Distances are compared as bits, see latest.
func (t *Tree) closest4(q *query) {
	var stack [stackLen4]uint64
	stack[0] = 1 << 31 // walked, at distance 0
	sp, c := 1, int32(0)
	ox, oy, oz, ix, iy, iz := q.o[0], q.o[1], q.o[2], q.inv[0], q.inv[1], q.inv[2]
	least, most := boundOf(q.tmin), boundOf(q.best)
	cull := int32(math.Float32bits(q.best)) + padSteps
	nx, ny, nz, fx, fy, fz := q.signs()
	kids := four
	for {
		var next uint64
		if c >= 0 {
			n := &t.nodes4[c]
			kid := n.child[:kids]
			var k0, k1, k2, k3 uint64
			up := sp - 1
			t0 := latest((n.b[nx]-ox)*ix, (n.b[ny]-oy)*iy, (n.b[nz]-oz)*iz, least)
			t1 := earliest((n.b[fx]-ox)*ix, (n.b[fy]-oy)*iy, (n.b[fz]-oz)*iz, most)
			key := uint64(uint32(t0))<<32 | uint64(uint32(kid[0]))
			if t0 <= t1+padSteps {
				k0 = key
				up++
			}
			t0 = latest((n.b[nx+1]-ox)*ix, (n.b[ny+1]-oy)*iy, (n.b[nz+1]-oz)*iz, least)
			t1 = earliest((n.b[fx+1]-ox)*ix, (n.b[fy+1]-oy)*iy, (n.b[fz+1]-oz)*iz, most)
			key = uint64(uint32(t0))<<32 | uint64(uint32(kid[1]))
			if t0 <= t1+padSteps {
				k1 = key
				up++
			}
			t0 = latest((n.b[nx+2]-ox)*ix, (n.b[ny+2]-oy)*iy, (n.b[nz+2]-oz)*iz, least)
			t1 = earliest((n.b[fx+2]-ox)*ix, (n.b[fy+2]-oy)*iy, (n.b[fz+2]-oz)*iz, most)
			key = uint64(uint32(t0))<<32 | uint64(uint32(kid[2]))
			if t0 <= t1+padSteps {
				k2 = key
				up++
			}
			t0 = latest((n.b[nx+3]-ox)*ix, (n.b[ny+3]-oy)*iy, (n.b[nz+3]-oz)*iz, least)
			t1 = earliest((n.b[fx+3]-ox)*ix, (n.b[fy+3]-oy)*iy, (n.b[fz+3]-oz)*iz, most)
			key = uint64(uint32(t0))<<32 | uint64(uint32(kid[3]))
			if t0 <= t1+padSteps {
				k3 = key
				up++
			}
			next = min(min(k0-1, k1-1), min(k2-1, k3-1)) + 1
			if next == 0 {
				next = stack[(sp-1)&(stackLen4-1)]
			}
			next = hide(next)
			a, b := max(k0, k1), min(k0, k1)
			c, d := max(k2, k3), min(k2, k3)
			a, c = max(a, c), min(a, c)
			b = max(b, d)
			b, c = max(b, c), min(b, c)
			stack[sp&(stackLen4-1)] = a
			stack[(sp+1)&(stackLen4-1)] = b
			stack[(sp+2)&(stackLen4-1)] = c
			sp = int(hide(uint64(up)))
		} else {
			if c == walked {
				return
			}
			first := int(^c) >> 3
			pairs := t.pairs4[first : first+int(^c&7)+1]
			for i := range pairs {
				if pairs[i].meet(q) {
					most = boundOf(q.best)
					cull = int32(math.Float32bits(q.best)) + padSteps
				}
			}
			sp--
			next = stack[sp&(stackLen4-1)]
		}
		for int32(uint32(next>>32)) > cull {
			sp--
			next = stack[sp&(stackLen4-1)]
		}
		c = int32(uint32(next))
	}
}

// any4 reports whether anything is hit. It goes to whichever child met comes last, which Build
// makes the smallest: that costs least to be done with. Before each child what would be next so far
// is put on the stack, and stays there if the child is met.
func (t *Tree) any4(q *query) bool {
	var stack [stackLen4]int64
	stack[0] = walked
	sp, c := 1, int64(0)
	ox, oy, oz, ix, iy, iz := q.o[0], q.o[1], q.o[2], q.inv[0], q.inv[1], q.inv[2]
	least, most := boundOf(q.tmin), boundOf(q.best)
	nx, ny, nz, fx, fy, fz := q.signs()
	kids := four
	for {
		if c >= 0 {
			n := &t.nodes4[c]
			kid := n.child[:kids]
			up := sp - 1
			next := stack[up&(stackLen4-1)]
			t0 := latest((n.b[nx]-ox)*ix, (n.b[ny]-oy)*iy, (n.b[nz]-oz)*iz, least)
			t1 := earliest((n.b[fx]-ox)*ix, (n.b[fy]-oy)*iy, (n.b[fz]-oz)*iz, most)
			k := int64(kid[0])
			if t0 <= t1+padSteps {
				next = k
				up++
			}
			t0 = latest((n.b[nx+1]-ox)*ix, (n.b[ny+1]-oy)*iy, (n.b[nz+1]-oz)*iz, least)
			t1 = earliest((n.b[fx+1]-ox)*ix, (n.b[fy+1]-oy)*iy, (n.b[fz+1]-oz)*iz, most)
			k = int64(kid[1])
			stack[up&(stackLen4-1)] = next
			if t0 <= t1+padSteps {
				next = k
				up++
			}
			t0 = latest((n.b[nx+2]-ox)*ix, (n.b[ny+2]-oy)*iy, (n.b[nz+2]-oz)*iz, least)
			t1 = earliest((n.b[fx+2]-ox)*ix, (n.b[fy+2]-oy)*iy, (n.b[fz+2]-oz)*iz, most)
			k = int64(kid[2])
			stack[up&(stackLen4-1)] = next
			if t0 <= t1+padSteps {
				next = k
				up++
			}
			t0 = latest((n.b[nx+3]-ox)*ix, (n.b[ny+3]-oy)*iy, (n.b[nz+3]-oz)*iz, least)
			t1 = earliest((n.b[fx+3]-ox)*ix, (n.b[fy+3]-oy)*iy, (n.b[fz+3]-oz)*iz, most)
			k = int64(kid[3])
			stack[up&(stackLen4-1)] = next
			if t0 <= t1+padSteps {
				next = k
				up++
			}
			c = int64(hide(uint64(next)))
			sp = int(hide(uint64(up)))
			continue
		}
		if c == walked {
			return false
		}
		first := int(^c) >> 3
		pairs := t.pairs4[first : first+int(^c&7)+1]
		for i := range pairs {
			if pairs[i].meet(q) {
				return true
			}
		}
		sp--
		c = stack[sp&(stackLen4-1)]
	}
}
