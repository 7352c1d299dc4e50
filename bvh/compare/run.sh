#!/usr/bin/env bash
# Times this package beside Embree 3 (Debian: libembree-dev) on the same rays, in turns, on one thread and on two, by processor time, and prints the median of each and
# the median of the shares of Embree in the same round. From anywhere: bvh/compare/run.sh [ROUNDS]. Needs a C compiler; not part of any test.
set -euo pipefail
cd "$(dirname "$0")/.."
rounds=${1:-5}
dir=$(mktemp -d)
trap 'rm -rf "$dir"' EXIT
cc -O2 -o "$dir/embree" compare/embree.c -lembree3 -lm -lpthread
go test -c -o "$dir/bvh.test" .
BVH_COMPARE=$dir "$dir/bvh.test" -test.run '^TestWriteRoom$' >/dev/null
for threads in 1 2; do
	for round in $(seq "$rounds"); do
		{
			"$dir/embree" "$dir" 3 "$threads" 2>/dev/null
			GOMAXPROCS=$threads "$dir/bvh.test" -test.run '^$' -test.bench '^BenchmarkRoom$' -test.benchtime 60ms -test.count 3 |
				awk '/Mray/ { split($1, a, "/"); sub(/-[0-9]+$/, "", a[3]); for (i = 2; i < NF; i++) if ($(i + 1) == "Mray/s") print a[2], a[3], $i, "Mray/s" }'
		} | sed "s/^/$threads $round /"
	done
done | awk '
	function median(list, v, n, i, j, t) {
		n = split(list, v, " ")
		for (i = 2; i <= n; i++) for (j = i; j > 1 && v[j - 1] + 0 > v[j] + 0; j--) { t = v[j]; v[j] = v[j - 1]; v[j - 1] = t }
		return n % 2 ? v[(n + 1) / 2] : (v[n / 2] + v[n / 2 + 1]) / 2
	}
	{ k = $1 " " $3 " " $4; all[k] = all[k] " " $5; one[$2 " " k] = one[$2 " " k] " " $5; if ($2 > rounds) rounds = $2; if (/differ/) bad[k] = $7 " of " $9 " answers differ" }
	END {
		split("primary bounce1 bounce2 shadow", sets, " ")
		split("embree embree-robust assembly plain8 portable4", names, " ")
		print "threads, rays, walk, median Mray/s, share of embree in the same round (median)"
		for (t = 1; t <= 2; t++) for (s = 1; s <= 4; s++) for (n = 1; n <= 5; n++) {
			k = t " " sets[s] " " names[n]
			if (!(k in all)) continue
			shares = ""
			for (r = 1; r <= rounds; r++) shares = shares " " median(one[r " " k]) / median(one[r " " t " " sets[s] " embree"])
			printf "%d  %-8s %-14s %6.2f Mray/s  %3.0f %%  %s\n", t, sets[s], names[n], median(all[k]), 100 * median(shares), bad[k]
		}
	}'
