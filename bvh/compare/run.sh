#!/usr/bin/env bash
# Times this package beside Embree 3 (Debian: libembree-dev) on the same rays, in turns, one thread, and prints the best of each.
# From anywhere: bvh/compare/run.sh [ROUNDS]. Needs a C compiler; not part of any test.
set -euo pipefail
cd "$(dirname "$0")/.."
rounds=${1:-3}
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
cc -O2 -o "$dir/embree" compare/embree.c -lembree3 -lm
go test -c -o "$dir/bvh.test" .
BVH_COMPARE=$dir "$dir/bvh.test" -test.run '^TestWriteRoom$' >/dev/null
for _ in $(seq "$rounds"); do
	"$dir/embree" "$dir" 3 2>/dev/null
	GOMAXPROCS=1 "$dir/bvh.test" -test.run '^$' -test.bench '^BenchmarkRoom$' -test.benchtime 50ms -test.count 6 |
		awk '/Mray/ { split($1, a, "/"); for (i = 2; i < NF; i++) if ($(i + 1) == "Mray/s") print a[2], a[3], $i, "Mray/s" }'
done | awk '
	{ k = $1 " " $2; if ($3 > best[k]) best[k] = $3; if (/differ/) bad[k] = $5 " of " $7 " answers differ" }
	END {
		split("primary bounce1 bounce2 shadow", sets, " ")
		split("embree embree-robust assembly plain8 portable4", names, " ")
		for (s = 1; s <= 4; s++) for (n = 1; n <= 5; n++) {
			k = sets[s] " " names[n]
			if (k in best) printf "%-8s %-14s %6.2f Mray/s  %3.0f %%  %s\n", sets[s], names[n], best[k], 100 * best[k] / best[sets[s] " embree"], bad[k]
		}
	}'
