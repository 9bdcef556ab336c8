"""Compares the outputs that run.sh has gathered in a folder:

    python3 compare.py FOLDER ROUNDS
"""
import json
import math
import statistics
import sys
from pathlib import Path

from scipy import stats

LIMIT = 5  # combined standard errors
FALSE_ALARM = 2 * stats.norm.sf(LIMIT)
LEAST_RATIO = 100

folder, rounds = Path(sys.argv[1]), range(1, int(sys.argv[2]) + 1)


def load(name):
    return [json.loads((folder / f"{name}-{r}.json").read_text()) for r in rounds]


def seconds(name):
    return [[float(x) for x in (folder / f"{name}-{r}.time").read_text().split()] for r in rounds]


def rows_of_stopvolt(study):
    for m in study["methods"]:
        if m["fit"] not in ("ordinary", "weighted"):
            continue
        for quantity, x in (("h/e", m), ("work function", m["collector_work_function"])):
            yield (m["method"], m["fit"], quantity), x["relative_bias"], x["relative_bias_mcse"], x["failures"]
        if m["fit"] == "ordinary":
            for s in m["settings"]:
                yield (m["method"], "", s["name"] + ", V"), s["bias_V"], s["bias_mcse_V"], s["dropouts"]


def rows_of_peer(study):
    for m in study["methods"]:
        for quantity, x in (("h/e", m["h_over_e"]), ("work function", m["collector_work_function"])):
            yield (m["method"], m["fit"], quantity), x["bias"], x["bias_mcse"], x["failures"]
        if m["fit"] == "ordinary":
            for s in m["settings"]:
                yield (m["method"], "", s["name"] + ", V"), s["bias_V"], s["bias_mcse_V"], s["failures"]


def pool(studies, rows_of):
    """Joins rounds: for each row the bias, its standard error, the failures and
    the replicates."""
    joined = {}
    for study in studies:
        for key, bias, mcse, failures in rows_of(study):
            joined.setdefault(key, []).append((bias, mcse, failures, study["replicates"]))
    out = {}
    for key, parts in joined.items():
        answers = [(b, e, n - f) for b, e, f, n in parts if b is not None and e is not None]
        total = sum(n for _, _, n in answers)
        bias = mcse = math.nan
        if total:
            bias = sum(n * b for b, _, n in answers) / total
            mcse = math.sqrt(sum((n * e) ** 2 for _, e, n in answers)) / total
        out[key] = bias, mcse, sum(p[2] for p in parts), sum(p[3] for p in parts)
    return out


def rates():
    """Prints the rates and returns the median ratio over the rounds. Both are
    timed without their start: that of stopvolt is a study of two replicates."""
    go = [s["replicates"] for s in load("all")]
    studies = load("peer")
    peer = [s["replicates"] / s["seconds"] for s in studies]
    peer_cpu = [s["replicates"] / s["cpu_seconds"] for s in studies]
    print("median over the rounds      replicates/s  of one CPU's time  times the peer's rate (least to greatest)")
    print(f"peer, one thread            {statistics.median(peer):12.1f}  {statistics.median(peer_cpu):17.1f}")
    for name, title in (("one", "stopvolt, GOMAXPROCS=1"), ("all", "stopvolt, all cores")):
        times = list(zip(go, seconds(name), seconds(name + "-start")))
        rate = [(n - 2) / (t[0] - s[0]) for n, t, s in times]
        cpu = [(n - 2) / (t[1] + t[2] - s[1] - s[2]) for n, t, s in times]
        ratio = sorted(r / p for r, p in zip(rate, peer))
        print(f"{title:28}{statistics.median(rate):12.1f}  {statistics.median(cpu):17.1f}"
              f"  {statistics.median(ratio):5.1f} ({ratio[0]:.1f} to {ratio[-1]:.1f})")
    cpu_ratio = statistics.median(cpu) / statistics.median(peer_cpu)
    print(f"by CPU time alone one core of stopvolt does {cpu_ratio:.1f} times the peer's work")
    start = statistics.median(s[0] for s in seconds("all-start"))
    print(f"stopvolt's start took {start:.2f} s and is left out\n")
    return statistics.median(ratio)


def main():
    ratio = rates()
    ours, theirs = pool(load("all"), rows_of_stopvolt), pool(load("peer"), rows_of_peer)
    if ours.keys() != theirs.keys():
        sys.exit(f"compare.py: the rows differ: {sorted(ours.keys() ^ theirs.keys())}")
    print("Biases of h/e and of the work function are relative; failures are of the replicates.")
    print(f"{'method':18}{'line':10}{'of':16}{'stopvolt':>12}{'mcse':>10}{'peer':>12}{'mcse':>10}{'difference':>12}{'failures':>16}")
    wrong = []
    for key, (bias, mcse, failures, n) in ours.items():
        bias2, mcse2, failures2, n2 = theirs[key]
        apart = (bias - bias2) / math.hypot(mcse, mcse2)
        p = stats.fisher_exact([[failures, n - failures], [failures2, n2 - failures2]])[1]
        # Where all replicates fail on both sides there is no bias to compare.
        bad = abs(apart) > LIMIT or p < FALSE_ALARM or math.isnan(apart) and (failures, failures2) != (n, n2)
        if bad:
            wrong.append(" ".join(key))
        print(f"{key[0]:18}{key[1]:10}{key[2]:16}{bias:12.7f}{mcse:10.1e}{bias2:12.7f}{mcse2:10.1e}{apart:+10.2f} s"
              f"{failures:8d}{failures2:8d}{'  DIFFERS' if bad else ''}")
    n, n2 = next(iter(ours.values()))[3], next(iter(theirs.values()))[3]
    print(f"\n{n} replicates of stopvolt, {n2} of the peer. With {LIMIT} combined standard errors s for each bias, and Fisher's exact")
    print(f"test at the same level for each count of failures, chance alone rings the alarm in fewer than one of {1 / (2 * len(ours) * FALSE_ALARM):.0f} runs.")
    if wrong:
        print(f"stopvolt and the peer differ: {'; '.join(wrong)}")
    if ratio < LEAST_RATIO:
        print(f"stopvolt on all cores is only {ratio:.1f} times as fast as the peer; {LEAST_RATIO} is asked for")
    sys.exit(1 if wrong or ratio < LEAST_RATIO else 0)


if __name__ == "__main__":
    main()
