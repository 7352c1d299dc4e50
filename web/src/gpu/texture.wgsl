// Patterns of surfaces at true scale, factors of the diffuse part: the same as textureOf of package stage, by the same hash, so that what is traced here
// and what the program traces show the same joints and grain. TestTexturesInPage holds the two against each other.

// A whole number of 64 bits: low, high.
fn mul64(a: vec2u, b: vec2u) -> vec2u {
  let al = a.x & 0xffffu; let ah = a.x >> 16u;
  let bl = b.x & 0xffffu; let bh = b.x >> 16u;
  let m1 = ah * bl; let m2 = al * bh;
  let lo = al * bl;
  let mid = (lo >> 16u) + (m1 & 0xffffu) + (m2 & 0xffffu);
  let high = ah * bh + (m1 >> 16u) + (m2 >> 16u) + (mid >> 16u);
  return vec2u((lo & 0xffffu) | (mid << 16u), high + a.x * b.y + a.y * b.x);
}
fn add64(a: vec2u, b: vec2u) -> vec2u {
  let lo = a.x + b.x;
  return vec2u(lo, a.y + b.y + select(0u, 1u, lo < a.x));
}
fn wide64(a: i32) -> vec2u { return vec2u(bitcast<u32>(a), select(0u, 0xffffffffu, a < 0)); }
// shiftXor is x ^ (x >> n), 0 < n < 32.
fn shiftXor(x: vec2u, n: u32) -> vec2u { return x ^ vec2u((x.x >> n) | (x.y << (32u - n)), x.y >> n); }

// hash2 is Hash2 of package kind: SplitMix64 (Steele, Lea and Flood 2014) of two whole numbers, from 0 to 1.
fn hash2(a: i32, b: i32) -> f32 {
  let m1 = vec2u(0x1ce4e5b9u, 0xbf58476du);
  let m2 = vec2u(0x133111ebu, 0x94d049bbu);
  var x = add64(add64(mul64(wide64(a), vec2u(0x7f4a7c15u, 0x9e3779b9u)), mul64(wide64(b), m1)), m2);
  x = mul64(shiftXor(x, 30u), m1);
  x = mul64(shiftXor(x, 27u), m2);
  x = shiftXor(x, 31u);
  return f32(x.y >> 8u) / 16777216.0;
}

// noise is smooth value noise from 0 to 1.
fn noise(x: f32, y: f32, seed: i32) -> f32 {
  let i = floor(x); let j = floor(y);
  let k = vec2f(x - i, y - j);
  let t = k * k * (3.0 - 2.0 * k);
  let a = i32(i); let b = i32(j) + seed * 7919;
  return mix(mix(hash2(a, b), hash2(a + 1, b), t.x), mix(hash2(a, b + 1), hash2(a + 1, b + 1), t.x), t.y);
}

// pieces is joints round pieces w × h, every other row shifted.
fn pieces(x: f32, v: f32, w: f32, h: f32, gap: f32, shift: f32, joint: f32, spread: f32) -> f32 {
  let row = floor(v / h);
  let u = x + select(0.0, shift * w, (i32(row) & 1) == 1);
  let col = floor(u / w);
  let part = 1.0 - (1.0 - gap / w) * (1.0 - gap / h);
  let mean = 1.0 - part + part * joint;
  if (u - col * w < gap || v - row * h < gap) { return joint / mean; }
  return (1.0 + spread * (hash2(i32(col), i32(row)) - 0.5)) / mean;
}

// textureAt gives the factor of pattern kind at a place of a face with normal n.
fn textureAt(kind: u32, p: vec3f, n: vec3f) -> f32 {
  var q = p.yz;
  if (abs(n.z) > 0.7) { q = p.xy; } else if (abs(n.y) >= abs(n.x)) { q = p.xz; }
  let u = q.x; let v = q.y;
  switch (kind) {
    case 1u: { return pieces(u, v, 0.15, 0.15, 0.003, 0.0, 0.62, 0.03); } // tile
    case 2u: { // brick
      return pieces(u, v, 0.225, 0.075, 0.010, 0.5, 1.25, 0.18) * (1.0 + 0.16 * (noise(u / 0.006, v / 0.006, 3) - 0.5));
    }
    case 3u: { // boards of wood
      let board = floor(v / 0.12);
      let x = u + 0.7 * hash2(i32(board), 11);
      let grain = noise(x / 0.25, v / 0.004, 5) * 0.6 + noise(x / 0.6, v / 0.018, 6) * 0.4;
      let f = 1.0 + 0.34 * (grain - 0.5) + 0.14 * (hash2(i32(board), 4) - 0.5);
      return f * select(1.0, 0.55, v - board * 0.12 < 0.0015) / 0.9944;
    }
    case 4u: { // stone, lino
      return 1.0 + 0.13 * (noise(u / 0.007, v / 0.007, 1) - 0.5) + 0.09 * (noise(u / 0.05, v / 0.05, 2) - 0.5)
        + 0.08 * (noise(u / 0.6, v / 0.6, 8) - 0.5);
    }
    case 5u: { // a painted cloth
      let cloud = 0.55 * (noise(u / 0.55, v / 0.7, 21) - 0.5) + 0.3 * (noise(u / 0.21, v / 0.26, 22) - 0.5);
      return 1.0 + cloud + 0.12 * (noise(u / 0.06, v / 0.08, 23) - 0.5) + 0.05 * sin(2.0 * 3.14159265 * fract((u + v) / 0.003));
    }
    case 6u: { // a weave
      let twill = sin(2.0 * 3.14159265 * fract((u + v) / 0.0028));
      return 1.0 + 0.10 * twill + 0.22 * (noise(u / 0.0022, v / 0.0022, 9) - 0.5) + 0.10 * (noise(u / 0.03, v / 0.03, 10) - 0.5);
    }
    case 7u: { // paint
      return 1.0 + 0.05 * (noise(u / 0.35, v / 0.35, 12) - 0.5) + 0.03 * (noise(u / 0.03, v / 0.03, 13) - 0.5);
    }
    default: { return 1.0; }
  }
}
