#!/usr/bin/env bash
# Does a study in eight shares by GNU parallel, and merges them.
set -euo pipefail
stopvolt=${STOPVOLT:-stopvolt}
replicates=${REPLICATES:-20000}
out=${OUT:-out}

mkdir -p "$out"
# --halt stops at the first share that fails; a share that was stopped goes on
# where it was when the script is run again.
parallel --halt now,fail=1 \
  "$stopvolt" study --quiet --replicates "$replicates" --part {}/8 --out "$out/part-{}.json" --resume \
  ::: 1 2 3 4 5 6 7 8
"$stopvolt" merge "$out"/part-*.json --out "$out/results"
