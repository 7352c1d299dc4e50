#!/bin/sh
# fuzz.sh short|long [TARGET...]: every fuzz target, or those named ('photometry/FuzzLM63'), one after the other.
#
# short: FUZZTIME (5s) each. long: parsers, FUZZTRIES (5000000) tries each; targets that build or light a scene, or
# write to a disk, at each try, FUZZTIME (10m) each. One try to make an input smaller, not a minute: else most of the time goes there. Prints the tries made.
# A failing input is written to the room's testdata/fuzz: keep it there as a regression test.
set -eu
mode=$1
shift
go=${GO:-go}
slow=' internal/daylog/FuzzEntry internal/floor/FuzzSay internal/store/FuzzReadFile balance/FuzzSolve figure/FuzzBuild internal/accuracy/FuzzScene sheet/FuzzDraw bvh/FuzzRay ways/FuzzColour '
for file in $(git ls-files '*_test.go'); do
	room=$(dirname "$file")
	for f in $(sed -n 's/^func \(Fuzz[A-Za-z0-9_]*\)(.*/\1/p' "$file"); do
		if [ $# -gt 0 ]; then case " $* " in *" $room/$f "*) ;; *) continue ;; esac; fi
		case $mode$slow in
		short*) time=${FUZZTIME:-5s} ;;
		*" $room/$f "*) time=${FUZZTIME:-10m} ;;
		*) time=${FUZZTRIES:-5000000}x ;;
		esac
		out=$($go test -run '^$' -fuzz "^$f\$" -fuzztime "$time" -fuzzminimizetime 1x -timeout 0 "./$room" 2>&1) || {
			echo "$out"
			exit 1
		}
		echo "$room/$f: $(echo "$out" | sed -n 's/.*execs: \([0-9]*\).*/\1/p' | tail -1) tries"
	done
done
