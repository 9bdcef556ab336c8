#!/usr/bin/env bash
# Invents a term: twelve groups at four benches, with a swapped filter, a wrong sign
# and a run that stops before the plateau among them, and the ledger of the benches
# over six years, in which one cell ages.
#
#     make.sh SEED DIR
#
# STOPVOLT is the program, "stopvolt" by default. DIR gets term.csv, benches.csv, the
# runs, and planted.txt, which says what must be found. Places, names and numbers are
# invented.
set -euo pipefail
seed=$1 dir=$2
stopvolt=${STOPVOLT:-stopvolt}
mkdir -p "$dir"

# around VALUE SPREAD N: a number about a value, the N-th of this term.
around() { awk -v v="$1" -v s="$2" -v seed="$seed" -v n="$3" 'BEGIN {
  srand(seed * 1009 + n * 17); for (i = 0; i < 12; i++) x += rand(); printf "%.6g", v * exp(s * (x - 6)) }'; }

# sweep OUT N [SET...]: a run at bench $bench.
benches=(window door stairs cellar)
sweep() {
  local out=$1 n=$2 k
  shift 2
  for k in "${!benches[@]}"; do [ "${benches[k]}" = "$bench" ] && break; done
  local set=(
    --set geometry.radius_ratio="$(around 0.5 0.1 $((k + 1)))"
    --set collector.work_function_eV="$(around 2.05 0.01 $((k + 11)))"
    --set leakage.resistance_ohm="$(around 1e12 0.3 $((k + 21)))"
    --set meter.resolution_A=1e-13 --set plan.dark_curves=true
    --set lamp.flicker=0.003
    --set light.green.neutral="$(around 0.9 0.015 $((n + 31)))"
  )
  if ! printf '%s ' "$@" | grep -q emitter.yield; then set+=(--set emitter.yield="$(around 0.02 0.03 $((n + 41)))"); fi
  "$stopvolt" sweep lanternfell --seed $((seed * 1000 + n)) "${set[@]}" "$@" --out "$out"
}

# The term's runs. Which groups err depends on the seed.
echo group,bench,date,file > "$dir/term.csv"
swapped=$((1 + seed % 3)) sign=$((4 + seed % 3)) short=$((10 + seed % 3))
for group in $(seq 12); do
  bench=${benches[(group - 1) / 3]}
  run=$dir/group$group.csv
  more=()
  [ "$group" = $short ] && more=(--set plan.stop_V=0.8)
  sweep "$run" "$group" "${more[@]}"
  case $group in
    "$swapped") sed -i 's/^violet,404.7,/VIOLET,435.8,/; s/^blue,435.8,/violet,404.7,/; s/^VIOLET/blue/' "$run" ;;
    "$sign") awk -F, -v OFS=, 'NR > 1 { $3 = -$3 } { print }' "$run" > "$run.new" && mv "$run.new" "$run" ;;
  esac
  echo "$group,$bench,2026-11-2$((group % 5)),group$group.csv" >> "$dir/term.csv"
done

# Six years, two runs a year. The cell at one bench loses a twelfth of its yield a
# year, while its collector gets coated.
ageing=$((seed % 4))
rm -f "$dir/benches.csv"
for half in $(seq 0 11); do
  for k in "${!benches[@]}"; do
    bench=${benches[k]}
    more=()
    if [ "$k" = "$ageing" ]; then
      more=(--set emitter.yield="$(awk -v y="$(around 0.02 0.02 $((200 + half)))" -v h="$half" 'BEGIN { printf "%.6g", y * exp(-0.042 * h) }')"
            --set collector.stray_light="$(awk -v h="$half" 'BEGIN { printf "%.6g", 0.03 * exp(0.05 * h) }')")
    fi
    sweep "$dir/old.csv" $((100 + 4 * half + k)) "${more[@]}"
    month=$([ $((half % 2)) = 0 ] && echo 03 || echo 10)
    "$stopvolt" check "$dir/old.csv" --bench "$bench" --ledger "$dir/benches.csv" \
      --date $((2021 + half / 2))-$month-15 --lamp-hours $((60 * half)) > "$dir/old.txt" || { cat "$dir/old.txt"; exit 1; }
  done
done
rm "$dir/old.csv" "$dir/old.txt"

printf 'swapped %s\nsign %s\nshort %s\nageing %s\n' "$swapped" "$sign" "$short" "${benches[ageing]}" > "$dir/planted.txt"
