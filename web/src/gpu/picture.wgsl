// From layers to a picture: an edge-stopping filter for the first samples, then the sum of the layers under their settings, developed as mix.ts
// develops the program's. The filter is for the eye only; readings are never taken from here.

struct Uniforms {
  size: vec2u, layers: u32, mask: u32,
  step: u32, round: u32, spare: vec2u,
  adapt: array<vec4f, 3>,     // rows: to the display's white
  srgb: array<vec4f, 3>,      // rows: XYZ to linear sRGB
  curve: vec4f,               // join, white, power, 1 - glare
  sigmoid: vec4f,             // contrast, half, scale
  veil: vec4f,                // glare of the lens, XYZ
  level: array<vec4f, 8>,     // of each layer: setting x exposure / samples
  counts: array<vec4f, 8>,    // of each layer: samples
}

@group(0) @binding(0) var<uniform> U: Uniforms;
@group(0) @binding(1) var<storage, read> source: array<vec4f>;
@group(0) @binding(2) var<storage, read_write> filtered: array<vec4f>;
@group(0) @binding(3) var<storage, read> seen: array<vec4f>;

fn pixel(i: u32, l: u32) -> vec4f { return source[l * U.size.x * U.size.y + i]; }

// smooth is one pass of an a-trous filter over one layer (z): 5 x 5 taps, step pixels apart, of light by what the surface reflects; taps on another
// surface, behind an edge, or much brighter count little. Source: Dammertz et al. 2010.
@compute @workgroup_size(8, 8)
fn smooth_(@builtin(global_invocation_id) g: vec3u) {
  if (any(g.xy >= U.size) || (U.mask & (1u << g.z)) == 0u) { return; }
  let i = g.y * U.size.x + g.x;
  let here = seen[2u * i];
  let more = seen[2u * i + 1u];
  let mine = pixel(i, g.z);
  let own = mine.xyz / (more.x + 0.02);
  let weights = array<f32, 3>(0.375, 0.25, 0.0625);
  var sum = vec3f(0.0);
  var total = 0.0;
  // How many times brighter a tap may be: any at one sample, little at many.
  let strict = 0.25 * sqrt(U.counts[g.z / 4u][g.z % 4u]) * f32(1u << U.round);
  for (var y = -2; y <= 2; y++) {
    for (var x = -2; x <= 2; x++) {
      let q = vec2i(g.xy) + vec2i(x, y) * i32(U.step);
      if (any(q < vec2i(0)) || any(q >= vec2i(U.size))) { continue; }
      let k = u32(q.y) * U.size.x + u32(q.x);
      let there = seen[2u * k];
      let also = seen[2u * k + 1u];
      var w = weights[abs(x)] * weights[abs(y)];
      w *= pow(max(0.0, dot(here.xyz, there.xyz)), 32.0);
      w *= exp(-abs(here.w - there.w) / (0.02 * here.w * f32(U.step)));
      w *= select(0.05, 1.0, more.y == also.y);
      let c = pixel(k, g.z).xyz / (also.x + 0.02);
      w *= exp(-strict * abs(c.y - own.y) / (c.y + own.y + 1e-20));
      sum += c * w;
      total += w;
    }
  }
  filtered[g.z * U.size.x * U.size.y + i] = vec4f(sum / max(total, 1e-9) * (more.x + 0.02), mine.w);
}

@group(0) @binding(4) var<storage, read> rest: array<vec4f>;   // sum of the layers that stay the program's, weighed

@vertex
fn corner(@builtin(vertex_index) i: u32) -> @builtin(position) vec4f {
  return vec4f(select(-1.0, 3.0, i == 1u), select(-1.0, 3.0, i == 2u), 0.0, 1.0);
}

fn tone(x: f32) -> f32 {
  if (x <= 0.0) { return 0.0; }
  if (x >= U.curve.y) { return 1.0; }
  if (U.sigmoid.x > 0.0) {
    let p = pow(x, U.sigmoid.x);
    return min(1.0, U.sigmoid.z * p / (p + U.sigmoid.y));
  }
  if (x <= U.curve.x) { return x; }
  return 1.0 - (1.0 - U.curve.x) * pow((U.curve.y - x) / (U.curve.y - U.curve.x), U.curve.z);
}
fn encode(v: f32) -> f32 {
  let x = clamp(v, 0.0, 1.0);
  return select(1.055 * pow(x, 1.0 / 2.4) - 0.055, 12.92 * x, x <= 0.0031308);
}
fn by(m: array<vec4f, 3>, v: vec3f) -> vec3f { return vec3f(dot(m[0].xyz, v), dot(m[1].xyz, v), dot(m[2].xyz, v)); }

// develop adds the layers up and gives the display's values.
@fragment
fn develop(@builtin(position) at: vec4f) -> @location(0) vec4f {
  let q = min(vec2u(at.xy), U.size - 1u);
  let i = q.y * U.size.x + q.x;
  var c = rest[i].xyz;
  for (var l = 0u; l < U.layers; l++) {
    if ((U.mask & (1u << l)) != 0u) { c += pixel(i, l).xyz * U.level[l / 4u][l % 4u]; }
  }
  let p = by(U.adapt, c * U.curve.w + U.veil.xyz);
  if (!(p.y > 0.0)) { return vec4f(0.0, 0.0, 0.0, 1.0); }
  let t = tone(p.y);
  var rgb = by(U.srgb, p * (t / p.y));
  var s = 1.0;
  for (var k = 0; k < 3; k++) {
    if (rgb[k] > 1.0) { s = min(s, (1.0 - t) / (rgb[k] - t)); }
    if (rgb[k] < 0.0) { s = min(s, t / (t - rgb[k])); }
  }
  rgb = vec3f(t) + (rgb - vec3f(t)) * max(s, 0.0);
  return vec4f(encode(rgb.x), encode(rgb.y), encode(rgb.z), 1.0);
}
