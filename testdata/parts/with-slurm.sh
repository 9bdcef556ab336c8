#!/usr/bin/env bash
#SBATCH --job-name=stopvolt
#SBATCH --array=1-8
#SBATCH --cpus-per-task=1
#SBATCH --output=%x-%a.log
# Does a study in eight shares as a Slurm array job: sbatch with-slurm.sh
# The last task to end merges the shares.
set -euo pipefail
stopvolt=${STOPVOLT:-stopvolt}
replicates=${REPLICATES:-20000}
out=${OUT:-out}
share=$SLURM_ARRAY_TASK_ID
shares=$SLURM_ARRAY_TASK_COUNT

mkdir -p "$out"
export GOMAXPROCS=${SLURM_CPUS_PER_TASK:-1}
"$stopvolt" study --quiet --replicates "$replicates" --part "$share/$shares" --out "$out/part-$share.json" --resume

# Files appear whole or not at all, so whoever counts them all may merge them;
# if two tasks do, they write the same bytes.
if [ "$(find "$out" -maxdepth 1 -name 'part-*.json' | wc -l)" -eq "$shares" ]; then
  "$stopvolt" merge "$out"/part-*.json --out "$out/results"
fi
