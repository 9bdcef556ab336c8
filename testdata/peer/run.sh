#!/usr/bin/env bash
# Runs stopvolt's study and the peer in numpy and scipy beside it, and compares
# rates and biases:
#
#   testdata/peer/run.sh [REPLICATES [PEER_REPLICATES [ROUNDS]]]
#
# Each round runs stopvolt on all cores, stopvolt on one core and the peer, so
# that a loaded machine slows all three. PYTHON names an interpreter 3.11 or later
# with numpy and scipy, SCENARIO another scenario file. The exit status is 1 if
# a bias differs or the ratio of the rates is below 100; see README.md.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../.." && pwd)
replicates=${1:-20000} peer_replicates=${2:-500} rounds=${3:-5}
python=${PYTHON:-python3}
scenario=${SCENARIO:-$root/scenarios/lanternfell.toml}
methods=zero-crossing,tangent,square-root,second-derivative,fowler-fit

"$python" -c 'import numpy, scipy, tomllib' || {
  echo "run.sh: $python lacks numpy, scipy or tomllib; on Debian 12 install python3-scipy, then PYTHON=/usr/bin/python3" >&2
  exit 2
}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
(cd "$root" && go build -o "$work/stopvolt" ./cmd/stopvolt)

# timed NAME COMMAND... writes NAME.json, and the seconds elapsed, of the user and of the
# system to NAME.time.
timed() {
  local name=$1
  shift
  local TIMEFORMAT='%R %U %S'
  { time "$@" >"$work/$name.json" 2>"$work/$name.err"; } 2>"$work/$name.time" || {
    cat "$work/$name.err" >&2
    exit 1
  }
}

# study SEED REPLICATES
study() {
  "$work/stopvolt" study "$scenario" --methods "$methods" --fits ordinary,weighted \
    --replicates "$2" --seed "$1" --json --quiet
}
on_one_core() { GOMAXPROCS=1 study "$@"; }
peer() {
  OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 MKL_NUM_THREADS=1 \
    "$python" "$here/study.py" "$scenario" --replicates "$peer_replicates" --seed "$1"
}

differ=
for round in $(seq "$rounds"); do
  echo "round $round of $rounds" >&2
  # A study of two replicates shows what all else takes.
  timed "all-start-$round" study "$round" 2
  timed "all-$round" study "$round" "$replicates"
  timed "one-start-$round" on_one_core "$round" 2
  timed "one-$round" on_one_core "$round" "$replicates"
  timed "peer-$round" peer "$round"
  cmp -s "$work/all-$round.json" "$work/one-$round.json" || differ="$differ $round"
done
status=0
"$python" "$here/compare.py" "$work" "$rounds" || status=$?
if [ -n "$differ" ]; then
  echo "stopvolt on all cores and on one differ in bytes with the seeds$differ"
  status=1
fi
exit "$status"
