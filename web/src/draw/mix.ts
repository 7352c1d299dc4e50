// Adds the layers of a picture on the device: WebGL2, or plain JavaScript where there is none.
import type { ExposureOf } from "../model/wire.ts";
import type { Film } from "../state/store.ts";
import { encode, tone } from "../units/colour.ts";

export interface Mix {
  /** Factor of each layer: setting × time × its scale × exposure. */
  weight: number[];
  exposure: ExposureOf;
  stops: boolean;
  clip: number;
  floor: number;
}

const vertex = `#version 300 es
in vec2 at;out vec2 uv;void main(){uv=vec2(at.x*.5+.5,.5-at.y*.5);gl_Position=vec4(at,0.,1.);}`;

const fragment = `#version 300 es
precision highp float;precision highp sampler2DArray;
uniform sampler2DArray film;uniform float w[32];uniform int n;uniform mat3 adapt;uniform mat3 srgb;uniform vec3 curve;
uniform vec3 sigmoid;uniform vec4 veil;uniform int stops;uniform float clipAt;uniform float floorAt;
in vec2 uv;out vec4 col;
vec3 mixed(vec2 p){vec3 c=vec3(0.);
  for(int l=0;l<n;l++){if(w[l]!=0.)c+=w[l]*texture(film,vec3(p,float(l))).rgb;}return c;}
float tone(float x){if(x<=0.)return 0.;if(x>=curve.y)return 1.;
  if(sigmoid.x>0.){float p=pow(x,sigmoid.x);return min(1.,sigmoid.z*p/(p+sigmoid.y));}
  if(x<=curve.x)return x;return 1.-(1.-curve.x)*pow((curve.y-x)/(curve.y-curve.x),curve.z);}
float enc(float x){x=clamp(x,0.,1.);return x<=.0031308?12.92*x:1.055*pow(x,1./2.4)-.055;}
void main(){
 if(stops==1){
  vec2 px=1./vec2(textureSize(film,0).xy);float y=0.;
  for(int i=-1;i<=1;i++)for(int j=-1;j<=1;j++)y+=mixed(uv+px*vec2(float(i),float(j))*1.5).y;
  float e=log2(max(y/9.,1e-9)/.18);ivec2 q=ivec2(gl_FragCoord.xy);float g;
  if(e>=clipAt)g=(q.x+q.y)%6<2?.08:.98;
  else if(e<floorAt)g=((q.x%4==0&&q.y%4==0)||(q.x%4==2&&q.y%4==2))?.47:.055;
  else g=enc(tone(.18*exp2(floor(e)+.5)));
  col=vec4(vec3(g),1.);return;}
 vec3 p=adapt*(veil.w*mixed(uv)+veil.rgb);float y=p.y;if(!(y>0.)){col=vec4(0.,0.,0.,1.);return;}
 float t=tone(y);vec3 c=srgb*(p*(t/y));float s=1.;
 for(int i=0;i<3;i++){if(c[i]>1.)s=min(s,(1.-t)/(c[i]-t));if(c[i]<0.)s=min(s,t/(t-c[i]));}
 c=vec3(t)+(c-vec3(t))*max(s,0.);col=vec4(enc(c.r),enc(c.g),enc(c.b),1.);}`;

let halves: Float32Array | null = null;

/** Half floats as numbers, by their bits. */
export function halfTable(): Float32Array {
  if (halves) return halves;
  halves = new Float32Array(65536);
  for (let i = 0; i < 65536; i++) {
    const e = (i >> 10) & 31, f = i & 1023, s = i & 0x8000 ? -1 : 1;
    halves[i] = e === 0 ? s * f * 2 ** -24 : e === 31 ? 0 : s * (1 + f / 1024) * 2 ** (e - 15);
  }
  return halves;
}

export class Mixer {
  private gl: WebGL2RenderingContext | null = null;
  private uniforms: Record<string, WebGLUniformLocation | null> = {};
  private film: Film | null = null;
  private plain: CanvasRenderingContext2D | null = null;
  /** The sum of the layers as last added up, XYZ, and the weights that it is of. */
  private sum: Float32Array | null = null;
  private summed: number[] = [];
  private image: ImageData | null = null;
  /** The film at half its size, made when it is first moved. */
  private half: Film | null = null;

  constructor(readonly canvas: HTMLCanvasElement, noGL = false) {
    try {
      if (!noGL && !onProcessor()) this.open(canvas);
    } catch { this.gl = null; }
    if (!this.gl) this.plain = canvas.getContext("2d");
    canvas.addEventListener("webglcontextlost", (e) => e.preventDefault());
    canvas.addEventListener("webglcontextrestored", () => { this.open(canvas); if (this.film) this.load(this.film); });
  }

  private open(canvas: HTMLCanvasElement): void {
    const gl = canvas.getContext("webgl2", { alpha: false, antialias: false, preserveDrawingBuffer: true });
    if (!gl) return;
    const shader = (kind: number, text: string) => {
      const s = gl.createShader(kind);
      if (!s) throw new Error("no shader");
      gl.shaderSource(s, text);
      gl.compileShader(s);
      if (!gl.getShaderParameter(s, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(s) ?? "shader");
      return s;
    };
    const prog = gl.createProgram();
    gl.attachShader(prog, shader(gl.VERTEX_SHADER, vertex));
    gl.attachShader(prog, shader(gl.FRAGMENT_SHADER, fragment));
    gl.bindAttribLocation(prog, 0, "at");
    gl.linkProgram(prog);
    if (!gl.getProgramParameter(prog, gl.LINK_STATUS)) throw new Error("link");
    gl.useProgram(prog);
    gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
    gl.bufferData(gl.ARRAY_BUFFER, new Float32Array([-1, -1, 3, -1, -1, 3]), gl.STATIC_DRAW);
    gl.enableVertexAttribArray(0);
    gl.vertexAttribPointer(0, 2, gl.FLOAT, false, 0, 0);
    gl.bindTexture(gl.TEXTURE_2D_ARRAY, gl.createTexture());
    for (const [k, v] of [[gl.TEXTURE_MIN_FILTER, gl.LINEAR], [gl.TEXTURE_MAG_FILTER, gl.LINEAR],
        [gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE], [gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE]] as const)
      gl.texParameteri(gl.TEXTURE_2D_ARRAY, k, v);
    for (const u of ["w", "n", "adapt", "srgb", "curve", "sigmoid", "veil", "stops", "clipAt", "floorAt"])
      this.uniforms[u] = gl.getUniformLocation(prog, u);
    this.gl = gl;
  }

  load(film: Film): void {
    this.film = film;
    this.sum = this.half = null;
    const { w, h, layers } = film.head;
    if (this.canvas.width !== w || this.canvas.height !== h) { this.canvas.width = w; this.canvas.height = h; }
    const gl = this.gl;
    if (!gl) return;
    gl.pixelStorei(gl.UNPACK_ALIGNMENT, 2);
    gl.texImage3D(gl.TEXTURE_2D_ARRAY, 0, gl.RGB16F, w, h, layers.length, 0, gl.RGB, gl.HALF_FLOAT, film.data);
  }

  /** Whether a picture that moves is mixed at half its size: plain sums of a large one take too long for a hand. */
  get slow(): boolean {
    const f = this.film?.head;
    return this.gl === null && f !== undefined && f.w * f.h * f.layers.length > 5e5;
  }

  /** moving: it changes many times a second. Where that is slow it is mixed at half its size, see slow. */
  paint(mix: Mix, moving = false): void {
    const f = this.film;
    if (!f) return;
    const gl = this.gl;
    if (!gl) { this.paintPlain(moving && this.slow ? (this.half ??= halved(f)) : f, mix); return; }
    const u = this.uniforms, x = mix.exposure;
    gl.viewport(0, 0, f.head.w, f.head.h);
    gl.uniform1fv(u.w ?? null, Float32Array.from({ length: 32 }, (_, i) => mix.weight[i] ?? 0));
    gl.uniform1i(u.n ?? null, Math.min(32, f.head.layers.length));
    gl.uniformMatrix3fv(u.adapt ?? null, true, flat(x.adapt));
    gl.uniformMatrix3fv(u.srgb ?? null, true, flat(x.srgb));
    gl.uniform3f(u.curve ?? null, x.tone.join, x.tone.white, x.tone.power);
    gl.uniform3f(u.sigmoid ?? null, x.tone.sigmoid, x.tone.half, x.tone.scale);
    const [vx, vy, vz] = veil(f, mix);
    gl.uniform4f(u.veil ?? null, vx, vy, vz, 1 - x.tone.glare);
    gl.uniform1i(u.stops ?? null, mix.stops ? 1 : 0);
    gl.uniform1f(u.clipAt ?? null, mix.clip);
    gl.uniform1f(u.floorAt ?? null, mix.floor);
    gl.drawArrays(gl.TRIANGLES, 0, 3);
  }

  /** Adds up the layers: where there is a sum already, only what its weights changed by. */
  private add(f: Film, weight: readonly number[]): Float32Array {
    const n = 3 * f.head.w * f.head.h, table = halfTable(), count = f.head.layers.length, was = this.summed;
    const changed = f.head.layers.map((_, l) => l).filter((l) => (weight[l] ?? 0) !== (was[l] ?? 0)),
      lit = f.head.layers.filter((_, l) => weight[l]).length;
    // Differences leave rounding behind; a sum that would be as quick is made anew.
    const anew = !this.sum || this.sum.length !== n || changed.length >= lit,
      sum = anew || !this.sum ? new Float32Array(n) : this.sum;
    for (let l = 0; l < count; l++) {
      const g = (weight[l] ?? 0) - (anew ? 0 : was[l] ?? 0), at = l * n;
      if (g === 0) continue;
      for (let i = 0; i < n; i++) sum[i] = (sum[i] as number) + g * (table[f.data[at + i] as number] as number);
    }
    this.sum = sum;
    this.summed = f.head.layers.map((_, l) => weight[l] ?? 0);
    return sum;
  }

  private paintPlain(f: Film, mix: Mix): void {
    const cx = this.plain, { w, h } = f.head, n = w * h;
    if (!cx) return;
    if (this.canvas.width !== w || this.canvas.height !== h) { this.canvas.width = w; this.canvas.height = h; }
    if (!this.image || this.image.width !== w || this.image.height !== h) this.image = cx.createImageData(w, h);
    const d = this.image.data, sum = this.add(f, mix.weight), t = mix.exposure.tone;
    if (mix.stops) {
      for (let i = 0, o = 0; i < n; i++, o += 4) {
        const e = Math.log2(Math.max(sum[3 * i + 1] as number, 1e-9) / 0.18), x = i % w, y = (i / w) | 0,
          dot = x % 4 === y % 4 && x % 2 === 0;
        const g = e >= mix.clip ? ((x + y) % 6 < 2 ? 0.08 : 0.98) : e < mix.floor ? (dot ? 0.47 : 0.055)
          : encode(tone(0.18 * 2 ** (Math.floor(e) + 0.5), t));
        d[o] = d[o + 1] = d[o + 2] = g * 255;
        d[o + 3] = 255;
      }
      cx.putImageData(this.image, 0, 0);
      return;
    }
    // Adaptation and the display's primaries in one matrix; the curves by table.
    const a = mix.exposure.adapt, s = mix.exposure.srgb, m = new Float64Array(9), curve = codes();
    for (let r = 0; r < 3; r++) for (let c = 0; c < 3; c++) m[3 * r + c] = (s[3 * r] ?? 0) * (a[c] ?? 0) +
        (s[3 * r + 1] ?? 0) * (a[3 + c] ?? 0) + (s[3 * r + 2] ?? 0) * (a[6 + c] ?? 0);
    const [m0, m1, m2, m3, m4, m5, m6, m7, m8] = m as unknown as [number, number, number, number, number, number,
      number, number, number], [, , , y0 = 0, y1 = 0, y2 = 0] = a;
    const [v0, v1, v2] = veil(f, mix), own = 1 - (t.glare || 0), tones = toneTable(t), white = t.white;
    for (let i = 0, k = 0, o = 0; i < n; i++, k += 3, o += 4) {
      const X = own * (sum[k] as number) + v0, Y = own * (sum[k + 1] as number) + v1,
        Z = own * (sum[k + 2] as number) + v2, q = y0 * X + y1 * Y + y2 * Z;
      d[o + 3] = 255;
      if (!(q > 0)) { d[o] = d[o + 1] = d[o + 2] = 0; continue; }
      const y = q >= white ? 1 : tones[(Math.sqrt(q / white) * 8191 + 0.5) | 0] as number, g = y / q;
      let R = g * (m0 * X + m1 * Y + m2 * Z), G = g * (m3 * X + m4 * Y + m5 * Z),
        B = g * (m6 * X + m7 * Y + m8 * Z), share = 1;
      if (R > 1 || G > 1 || B > 1 || R < 0 || G < 0 || B < 0) {
        for (const v of [R, G, B]) {
          if (v > 1) share = Math.min(share, (1 - y) / (v - y));
          if (v < 0) share = Math.min(share, y / (y - v));
        }
        share = Math.max(0, share);
        R = y + (R - y) * share;
        G = y + (G - y) * share;
        B = y + (B - y) * share;
      }
      d[o] = curve[(R * 8191 + 0.5) | 0] as number;
      d[o + 1] = curve[(G * 8191 + 0.5) | 0] as number;
      d[o + 2] = curve[(B * 8191 + 0.5) | 0] as number;
    }
    cx.putImageData(this.image, 0, 0);
  }
}

/** A film at half its width and height: every second pixel of every second row. */
export function halved(f: Film): Film {
  const { w, h, layers } = f.head, w2 = w >> 1, h2 = h >> 1, data = new Uint16Array(3 * w2 * h2 * layers.length);
  for (let l = 0, o = 0; l < layers.length; l++) for (let y = 0; y < h2; y++) {
    let i = 3 * ((l * h + 2 * y) * w);
    for (let x = 0; x < w2; x++, i += 6) {
      data[o++] = f.data[i] as number;
      data[o++] = f.data[i + 1] as number;
      data[o++] = f.data[i + 2] as number;
    }
  }
  return { head: { ...f.head, w: w2, h: h2 }, data };
}

let toned: { of: string; table: Float32Array } | null = null;

/**
 * The tone curve up to white, in 8191 steps of the root of the
 * luminance: a step is under a code of the display everywhere.
 */
function toneTable(t: Mix["exposure"]["tone"]): Float32Array {
  const of = JSON.stringify(t);
  if (toned?.of === of) return toned.table;
  const table = new Float32Array(8192);
  for (let i = 0; i < 8192; i++) table[i] = tone((i / 8191) ** 2 * t.white, t);
  toned = { of, table };
  return table;
}

let coded: Uint8ClampedArray | null = null;

/** The display's codes of linear values 0 to 1 in 8191 steps: a step is a third of a code in the dark, less above. */
function codes(): Uint8ClampedArray {
  if (coded) return coded;
  coded = new Uint8ClampedArray(8192);
  for (let i = 0; i < 8192; i++) coded[i] = 255 * encode(i / 8191);
  return coded;
}

let processor: boolean | null = null;

/**
 * Graphics are computed on the processor here: plain sums are quicker
 * without the detour. Asked once, of a canvas of its own.
 */
export function onProcessor(): boolean {
  if (processor === null) {
    const gl = document.createElement("canvas").getContext("webgl2");
    processor = gl !== null && inSoftware(gl);
    gl?.getExtension("WEBGL_lose_context")?.loseContext();
  }
  return processor;
}

/** A graphics context that is computed on the processor. */
function inSoftware(gl: WebGL2RenderingContext): boolean {
  const info = gl.getExtension("WEBGL_debug_renderer_info"),
    name = info ? String(gl.getParameter(info.UNMASKED_RENDERER_WEBGL)) : "";
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/** The lens's veiling glare: a share of the frame's mean light, over all of it. */
export function veilOf(f: Film, weight: readonly number[], glare: number): [number, number, number] {
  const v: [number, number, number] = [0, 0, 0];
  if (glare) f.head.layers.forEach((l, i) => l.mean.forEach((m, c) => { v[c]! += (weight[i] ?? 0) * m * glare; }));
  return v;
}

const veil = (f: Film, mix: Mix): [number, number, number] => veilOf(f, mix.weight, mix.exposure.tone.glare || 0);

const flat = (v: readonly number[]): Float32Array => Float32Array.from(v);

/** Histogram of levels in stops from mid-grey: share of the picture in each bin of 1/8 stop from lo to hi. */
export function histogram(f: Film, weight: readonly number[], lo: number, hi: number, crop: readonly number[] =
  [0, 0, 1, 1]): Float32Array {
  const { w, h, layers } = f.head, n = w * h, table = halfTable(),
    bins = new Float32Array(Math.round((hi - lo) * 8) + 1);
  const step = Math.max(1, Math.floor(n / 12000)) | 1;
  const used = layers.map((_, l) => l).filter((l) => weight[l]);
  let count = 0;
  const [x0, y0, x1, y1] = [0, 1, 2, 3].map((k) => (crop[k] ?? 0) * (k % 2 ? h : w)) as [number, number,
    number, number];
  for (let i = 0; i < n; i += step) {
    if (i % w < x0 || i % w >= x1 || i < y0 * w || i >= y1 * w) continue;
    let y = 0;
    for (const l of used) y += (weight[l] ?? 0) * (table[f.data[(l * n + i) * 3 + 1] ?? 0] ?? 0);
    const b = Math.round((Math.log2(Math.max(y, 1e-9) / 0.18) - lo) * 8);
    bins[Math.min(bins.length - 1, Math.max(0, b))]! += 1;
    count++;
  }
  return bins.map((v) => v / Math.max(1, count));
}

/**
 * Light of each layer at a spot of the picture, luminance at full setting in
 * the layer's own unit; the mean over three by three pixels.
 */
export function layersAt(f: Film, x: number, y: number): number[] {
  const { w, h, layers } = f.head, table = halfTable(), cx = Math.min(w - 1, Math.floor(x * w)),
    cy = Math.min(h - 1, Math.floor(y * h));
  return layers.map((l, k) => {
    let sum = 0, n = 0;
    for (let j = Math.max(0, cy - 1); j <= Math.min(h - 1, cy + 1); j++)
      for (let i = Math.max(0, cx - 1); i <= Math.min(w - 1, cx + 1); i++, n++)
      sum += table[f.data[((k * h + j) * w + i) * 3 + 1] ?? 0] ?? 0;
    return (sum / n) * l.scale;
  });
}
