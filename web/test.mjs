// Runs the unit tests and says which share of the lines of each folder they reach; a file that no test
// loads counts with all its lines. Fails where a test does, or where a folder falls under its share.
import { transform } from "esbuild";
import { spawnSync } from "node:child_process";
import { mkdirSync, readFileSync, readdirSync, rmSync, statSync, writeFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";

const least = { actions: 65, draw: 60, state: 75, units: 90 };
const here = import.meta.dirname, out = join(here, ".tests"), report = join(out, "lcov.info");
const walk = (dir) => readdirSync(dir).sort().flatMap((n) =>
  statSync(join(dir, n)).isDirectory() ? walk(join(dir, n)) : [join(dir, n)]);

rmSync(out, { recursive: true, force: true });
const lines = new Map(); // code lines by file
for (const f of walk(join(here, "src")).filter((f) => f.endsWith(".ts"))) {
  const name = relative(join(here, "src"), f).replace(/\.ts$/, ".mjs");
  const { code } = await transform(readFileSync(f, "utf8"), { loader: "ts", format: "esm", target: "es2022" });
  mkdirSync(dirname(join(out, name)), { recursive: true });
  writeFileSync(join(out, name), code.replace(/(from|import) "(\.[^"]*)\.ts"/g, '$1 "$2.mjs"'));
  if (!name.endsWith(".test.mjs") && code.trim()) lines.set(name, code.split("\n").length);
}
const run = spawnSync(process.execPath, ["--test", "--experimental-test-coverage", "--test-reporter=lcov",
  `--test-reporter-destination=${report}`, "--test-reporter=spec", "--test-reporter-destination=stdout", out],
  { stdio: "inherit" });
if (run.status !== 0) process.exit(1);
const reached = new Map();
for (const record of readFileSync(report, "utf8").split("end_of_record")) {
  const name = /^SF:.*\.tests\/(.*)$/m.exec(record)?.[1];
  if (!name || !lines.has(name)) continue;
  const hits = [...record.matchAll(/^DA:\d+,(\d+)$/gm)];
  lines.set(name, hits.length);
  reached.set(name, hits.filter((h) => h[1] !== "0").length);
}
let bad = false;
for (const [folder, share] of Object.entries(least)) {
  const mine = [...lines].filter(([n]) => n.startsWith(`${folder}/`));
  const all = mine.reduce((a, [, n]) => a + n, 0), met = mine.reduce((a, [n]) => a + (reached.get(n) ?? 0), 0);
  const got = (100 * met) / all;
  console.log(`${folder}: ${got.toFixed(0)} % of ${all} lines reached by unit tests (at least ${share})`);
  if (process.argv.includes("--files"))
    for (const [n, k] of mine) console.log(`  ${n} ${reached.get(n) ?? 0} of ${k}`);
  bad ||= got < share;
}
if (bad) process.exit(1);
