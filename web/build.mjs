// Builds the page into dist, the same bytes for the same sources. --check:
// builds aside and compares.
import { build } from "esbuild";
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, readdirSync, rmSync, writeFileSync, existsSync, statSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

const here = import.meta.dirname;
const args = new Set(process.argv.slice(2));

function walk(dir, base = dir) {
  return readdirSync(dir).sort().flatMap((n) => (statSync(join(dir, n)).isDirectory() ? walk(join(dir, n), base)
    : [join(dir, n).slice(base.length + 1)]));
}

// Layers: a folder imports itself and what stands before it.
// Lines, templates as well, fit beside each other on a screen.
const widest = 120;
const order = ["units", "model", "state", "actions", "draw", "panels"];
for (const f of walk(join(here, "src")).filter((f) => f.endsWith(".ts"))) {
  const text = readFileSync(join(here, "src", f), "utf8");
  const lines = text.split("\n");
  if (lines.length > 450 && f !== "model/wire.ts") throw new Error(`${f} has ${lines.length} lines; the limit is 450`);
  const wide = lines.findIndex((l) => l.length > widest);
  if (wide >= 0) {
    const says = `${f}:${wide + 1} is wider than ${widest} columns (templates too: a break beside a tag is nothing)`;
    if (args.has("--check")) throw new Error(says);
    console.warn(says);
  }
  const mine = order.indexOf(f.split("/")[0]);
  for (const [, to] of text.matchAll(/from "\.\.\/([a-z]+)\//g)) {
    if (mine >= 0 && order.indexOf(to) > mine) throw new Error(`${f} imports ${to}, which stands above it`);
  }
}

const hash = (b) => createHash("sha256").update(b).digest("hex").slice(0, 10);
const out = new Map();
const font = readFileSync(join(here, "font/inter-subset.woff2"));
const fontName = `inter-${hash(font)}.woff2`;
out.set(`assets/${fontName}`, font);
const css = Buffer.from(
  (await build({ entryPoints: [join(here, "src/page.css")], bundle: true, minify: true, write: false,
    external: ["*.woff2"], target: "chrome110" })).outputFiles[0].text.replace("inter-subset.woff2", fontName),
);
const js = Buffer.from(
  (await build({ entryPoints: [join(here, "src/page.ts")], bundle: true, minify: true, write: false, format: "esm",
    target: "es2022", legalComments: "none", absWorkingDir: here })).outputFiles[0].contents,
);
const jsName = `page-${hash(js)}.js`, cssName = `page-${hash(css)}.css`;
out.set(`assets/${jsName}`, js);
out.set(`assets/${cssName}`, css);
out.set("assets/OFL.txt", readFileSync(join(here, "font/OFL.txt")));
out.set("index.html", Buffer.from(readFileSync(join(here, "src/index.html"), "utf8").replace("page.js",
  `assets/${jsName}`).replace("page.css", `assets/${cssName}`).replace("font.woff2", `assets/${fontName}`)));

const dist = join(here, "dist");
if (args.has("--check")) {
  const have = existsSync(dist) ? walk(dist) : [];
  const miss = [...out].filter(([n, b]) => !have.includes(n) || !readFileSync(join(dist, n)).equals(b)).map(([n]) => n);
  const extra = have.filter((n) => !out.has(n));
  if (miss.length || extra.length)
    throw new Error(`dist is not fresh (${[...miss, ...extra].join(", ")}): run make web`);
} else {
  rmSync(dist, { recursive: true, force: true });
  mkdirSync(join(dist, "assets"), { recursive: true });
  for (const [n, b] of out) writeFileSync(join(dist, n), b);
}
const weight = [...out].filter(([n]) => n !== "assets/OFL.txt")
  .reduce((a, [n, b]) => a + (n.endsWith(".woff2") ? b.length : gzipSync(b).length), 0);
if (weight > 350 * 1024) throw new Error(`the page weighs ${weight} bytes gzipped; the limit is 350 KiB`);
console.log(`page ${(weight / 1024).toFixed(0)} KiB gzipped with its font`);
