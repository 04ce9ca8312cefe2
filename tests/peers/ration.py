"""Cheapest mixes beside HiGHS (by scipy), a public solver of linear programmes.

    python ration.py MIXES.json

MIXES.json is written by the example `ration` of the tests. Each programme is built anew from the figures of the feeds and
the demands. Compared are cost, shadow prices, what left-out feeds would have to cost, and whether there is a mix at all;
of demands that cannot be met alone, the best that can be reached. Where an optimum has several sets of shadow prices,
cost is reckoned once more with the demand a little easier: ours is what that saves. The price a feed comes in at is tried:
a little below it the mix gets cheaper, a little above it does not. Ends with 1 where something differs.
"""

import json
import sys

import numpy as np
from scipy.optimize import linprog

COST, PRICE, STEP = 1e-6, 1e-5, 1e-4


def fraction(demand, feeds):
    """What stands above and below the line for each feed as fed."""
    dry = np.array([f["figures"]["dry_matter"] / 100.0 for f in feeds])

    def fed(what):
        figures = np.array([f["figures"][what] for f in feeds])
        return figures if what == "dry_matter" else figures * dry

    if demand["how"] == "ratio":
        return fed(demand["what"]), fed(demand["under"])
    of_dry = demand["base"] == "dry matter" and demand["what"] != "dry_matter"
    return fed(demand["what"]), dry if of_dry else np.ones(len(feeds))


def row(demand, feeds, figure):
    """A row of A·x <= 0."""
    above, below = fraction(demand, feeds)
    sign = 1.0 if demand["how"] == "most" else -1.0
    return sign * (above - figure * below)


def solve(feeds, demands, figures, cost=None):
    n = len(feeds)
    cost = np.array([f["price"] for f in feeds]) if cost is None else cost
    a = np.array([row(d, feeds, f) for d, f in zip(demands, figures)]) if demands else None
    size = np.maximum(np.abs(a).max(axis=1), 1e-12) if demands else None
    found = linprog(
        cost,
        A_ub=a / size[:, None] if demands else None,
        b_ub=np.zeros(len(demands)) if demands else None,
        A_eq=np.ones((1, n)),
        b_eq=[1.0],
        bounds=[(f["least"], f["most"]) for f in feeds],
        method="highs",
    )
    return found, size


def best_alone(feeds, demand):
    """By halving: the last figure of one demand that some mix meets."""
    above, below = fraction(demand, feeds)
    each = above / np.maximum(below, 1e-300)
    low, high = float(np.min(each)), float(np.max(each))
    for _ in range(60):
        middle = (low + high) / 2.0
        can = solve(feeds, [demand], [middle], np.zeros(len(feeds)))[0].status == 0
        if can == (demand["how"] != "most"):
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def check(path):
    with open(path, encoding="utf-8") as file:
        mixes = json.load(file)
    bad, met, none, several, entries = 0, 0, 0, 0, 0
    most = {"cost": 0.0, "shadow": 0.0, "best": 0.0}

    def differ(n, what, ours, theirs, within):
        nonlocal bad
        most[what] = max(most[what], abs(ours - theirs))
        if not abs(ours - theirs) <= within:
            bad += 1
            print(f"mix {n}: {what} {ours} and not {theirs}")

    for n, mix in enumerate(mixes):
        feeds, demands, answer = mix["feeds"], mix["demands"], mix["answer"]
        figures = [d["figure"] for d in demands]
        found, size = solve(feeds, demands, figures)
        if found.status == 2:
            none += 1
            if "cannot" not in answer:
                bad += "refused" not in answer or "share" not in answer["refused"]
                continue
            for alone in answer["cannot"]:
                best = best_alone(feeds, demands[alone["demand"]])
                differ(n, "best", alone["best"], best, 1e-5 * (1.0 + abs(best)))
            for i, j in answer["quarrel"]:
                two = [demands[i], demands[j]]
                if solve(feeds, two, [figures[i], figures[j]])[0].status != 2:
                    bad += 1
                    print(f"mix {n}: demands {i} and {j} do not quarrel")
            continue
        if found.status != 0 or "cost" not in answer:
            bad += 1
            print(f"mix {n}: {found.message} beside {answer}")
            continue
        met += 1
        differ(n, "cost", answer["cost"], found.fun, COST)
        for i, demand in enumerate(demands):
            ours = answer["shadow"][i]
            below = float(fraction(demand, feeds)[1] @ np.array(answer["shares"]))
            theirs = -found.ineqlin.marginals[i] / size[i] * below
            if abs(ours - theirs) <= PRICE:
                most["shadow"] = max(most["shadow"], abs(ours - theirs))
                continue
            several += 1
            step = 1e-5 * max(1.0, abs(figures[i]))
            moved = list(figures)
            moved[i] += step if demand["how"] == "most" else -step
            saved = (found.fun - solve(feeds, demands, moved)[0].fun) / step
            differ(n, "shadow", ours, saved, 1e-3 * (1.0 + saved))
        for i, feed in enumerate(feeds):
            if answer["shares"][i] > 0.0 or feed["least"] > 0.0:
                continue
            price = answer["comes_in_at"][i]
            entries += 1
            prices = np.array([f["price"] for f in feeds])

            def cheaper(at):
                prices[i] = at
                other = solve(feeds, demands, figures, prices)[0]
                return found.fun - other.fun > 1e-11

            above = cheaper(min(feed["price"], (price or 0.0) + STEP))
            beneath = price is None or cheaper(price - STEP)
            if above or not beneath:
                bad += 1
                print(f"mix {n}: {feed['name']} comes in at another price than {price}")
    print(f"{met} mixes, {none} that cannot be; {several} shadow prices of several; {entries} feeds that stay out")
    for what, apart in most.items():
        print(f"  {what}: at most {apart:.1e} apart")
    if met < len(mixes) / 4 or none == 0:
        print("too few of one sort to tell anything")
        bad += 1
    return bad > 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.exit(int(check(sys.argv[1])))
