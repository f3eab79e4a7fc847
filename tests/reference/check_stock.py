"""Holds the choice of boards against HiGHS, a general solver for mixed-integer programs.

Boards cost by the foot, or by a price list in hundredths in which a longer board may be the cheaper one.
Small problems: every way to fill a board is written down and HiGHS picks the cheapest set of boards;
ours must cost the same. Larger ones: HiGHS solves the linear relaxation over patterns that are
found as they are needed (Gilmore and Gomory 1961); its value bounds every cutting from below, so our
proven bound may not exceed the relaxation rounded up to what boards can add up to, and our boards may
not cost less. A thousand pieces: within a board of our bound. Every board is checked by plain addition. Exits with 1 on a fault.

    python check_stock.py PROGRAM     PROGRAM reads problems as JSON lines and answers as JSON lines
"""

import json
import math
import random
import subprocess
import sys
import time

import highspy
import numpy as np

FOOT = 192  # sixteenths of an inch
KERF = 2
LENGTHS = [8, 10, 12, 14, 16]


def problems():
    chance = random.Random(20)

    def costs(lengths, priced):
        return {feet: round(feet * chance.uniform(40, 90)) if priced else feet for feet in lengths}

    for priced in (False, True):
        for count, how_many in ((4, 20), (7, 40), (10, 40), (12, 20)):
            for _ in range(how_many):
                lengths = sorted(chance.sample(LENGTHS, chance.randint(1, 5)))
                longest = lengths[-1] * FOOT
                pieces = [chance.randint(300, longest) for _ in range(count)]
                yield "small", costs(lengths, priced), pieces
        for count, how_many in ((50, 10), (200, 5)):
            for _ in range(how_many):
                pieces = [chance.randint(384, 16 * FOOT) for _ in range(count)]
                yield "large", costs(LENGTHS, priced), pieces
    for _ in range(3):
        yield "huge", costs(LENGTHS, False), [chance.randint(384, 16 * FOOT) for _ in range(1000)]


def solved(columns, wanted, whole):
    """Cost, values and row prices of: cheapest columns that give at least what is wanted."""
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("mip_rel_gap", 0.0)
    inf = highspy.kHighsInf
    for need in wanted:
        h.addRow(float(need), inf, 0, np.array([], dtype=np.int32), np.array([]))
    for cost, rows in columns:
        index = np.array(sorted(rows), dtype=np.int32)
        h.addCol(float(cost), 0.0, inf, len(index), index, np.array([float(rows[i]) for i in index]))
    if whole:
        kinds = np.full(len(columns), highspy.HighsVarType.kInteger)
        h.changeColsIntegrality(len(columns), np.arange(len(columns), dtype=np.int32), kinds)
    h.run()
    solution = h.getSolution()
    # The answer is rebuilt from its columns; the solver's own word for the cost is not used.
    values = list(solution.col_value)
    return sum(c * v for (c, _), v in zip(columns, values)), values, list(solution.row_dual)


def cheapest(costs, weight):
    return min((cost for feet, cost in costs.items() if feet * FOOT + KERF >= weight), default=None)


def every_pattern(costs, weights, wanted):
    columns = []

    def grow(kind, rows, weight):
        if rows:
            columns.append((cheapest(costs, weight), dict(rows)))
        for k in range(kind, len(weights)):
            if rows.get(k, 0) < wanted[k] and weight + weights[k] <= max(costs) * FOOT + KERF:
                grow(k, rows | {k: rows.get(k, 0) + 1}, weight + weights[k])

    grow(0, {}, 0)
    return columns


def best_pattern(prices, weights, wanted, room):
    """The pattern worth most in a board: bounded knapsack, exact."""
    best = np.zeros(room + 1)
    took = []
    for k, weight in enumerate(weights):
        counts = np.zeros(room + 1, dtype=np.int32)
        now = best.copy()
        for n in range(1, min(wanted[k], room // weight) + 1):
            shifted = np.full(room + 1, -1.0)
            shifted[n * weight:] = best[: room + 1 - n * weight] + n * prices[k]
            better = shifted > now + 1e-12
            now[better] = shifted[better]
            counts[better] = n
        best = now
        took.append(counts)
    rows, left = {}, room
    for k in range(len(weights) - 1, -1, -1):
        n = int(took[k][left])
        if n:
            rows[k] = n
            left -= n * weights[k]
    return float(best[room]), rows


def relaxation(costs, weights, wanted):
    columns = [(cheapest(costs, w), {k: 1}) for k, w in enumerate(weights)]
    while True:
        least, _, prices = solved(columns, wanted, False)
        new = []
        for feet, cost in costs.items():
            worth, rows = best_pattern(prices, weights, wanted, feet * FOOT + KERF)
            if worth > cost + 1e-7 * max(1, cost):
                new.append((cost, rows))
        if not new:
            return least
        columns += new


def check(kind, costs, pieces, answer):
    faults = []
    cut = sorted(i for board in answer["boards"] for i in board["cuts"])
    if cut != list(range(len(pieces))):
        faults.append("a piece is not cut exactly once")
    for board in answer["boards"]:
        used = sum(pieces[i] for i in board["cuts"]) + KERF * (len(board["cuts"]) - 1)
        if board["feet"] not in costs or used > board["feet"] * FOOT:
            faults.append(f"a board of {board['feet']} ft holds {used / FOOT} ft")
    if sum(costs[b["feet"]] for b in answer["boards"]) != answer["cost"]:
        faults.append("the boards do not add up")
    sizes = sorted(set(pieces), reverse=True)
    weights = [s + KERF for s in sizes]
    wanted = [pieces.count(s) for s in sizes]
    if kind == "huge":
        # Too many for the relaxation here: no cutting saves a whole board, not even the shortest.
        if answer["cost"] - answer["bound"] >= min(costs.values()):
            faults.append(f"bound {answer['bound']}, cost {answer['cost']}")
    elif kind == "small":
        best = round(solved(every_pattern(costs, weights, wanted), wanted, True)[0])
        if answer["cost"] != best:
            faults.append(f"costs {answer['cost']}, {best} would do")
    else:
        step = math.gcd(*costs.values())
        floor = math.ceil(relaxation(costs, weights, wanted) / step - 1e-6) * step
        if not answer["bound"] <= floor <= answer["cost"]:
            faults.append(f"bound {answer['bound']}, relaxation {floor}, cost {answer['cost']}")
    return faults


def main():
    all_problems = list(problems())
    asked = "\n".join(json.dumps({"lengths_ft": list(c), "costs": list(c.values()), "kerf": KERF, "pieces": p})
                      for _, c, p in all_problems)
    start = time.process_time()
    run = subprocess.run(sys.argv[1:], input=asked, capture_output=True, text=True, check=True)
    answers = [json.loads(line) for line in run.stdout.splitlines()]
    if len(answers) != len(all_problems):
        sys.exit("an answer is missing")
    wrong = 0
    gaps = {}
    for (kind, costs, pieces), answer in zip(all_problems, answers):
        faults = check(kind, costs, pieces, answer)
        wrong += bool(faults)
        gaps.setdefault(len(pieces), []).append(answer["cost"] / answer["bound"] - 1)
        for fault in faults:
            print(f"{len(pieces)} pieces of {list(costs)} ft: {fault}")
    print(f"{len(all_problems)} problems judged in {time.process_time() - start:.1f} s, {wrong} wrong")
    for count, list_of in sorted(gaps.items()):
        print(f"  {count} pieces: {len(list_of)} problems, gap to the proven bound {100 * max(list_of):.2f} % at most")
    # The judge must be able to say no: a board more is never the best.
    kind, costs, pieces = all_problems[0]
    feet, cost = next(iter(costs.items()))
    worse = {**answers[0], "boards": answers[0]["boards"] + [{"feet": feet, "cuts": []}]}
    worse["cost"] += cost
    if not check(kind, costs, pieces, worse):
        sys.exit("the judge passes a cutting with a board too many")
    sys.exit(1 if wrong else 0)


if __name__ == "__main__":
    main()
