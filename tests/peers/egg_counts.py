"""Values for `tests/reference/worms.toml`, come by without this program: numpy and scipy.

Run with any Python 3 that has both; prints the rows as TOML. The formulas are written down again here from the
documentation of the R packages eggCounts (fecrtCI) and bayescount (method B, Dobson), not from the Rust code.
"""

import numpy as np
from scipy import stats


def unpaired(a, b):
    a, b = np.array(a, float), np.array(b, float)
    v = a.var(ddof=1) / len(a) / a.mean() ** 2 + b.var(ddof=1) / len(b) / b.mean() ** 2
    t = stats.t.ppf(0.975, len(a) + len(b) - 2)
    r = b.mean() / a.mean()
    return 100 * (1 - r), 100 * (1 - r * np.exp(t * v**0.5)), 100 * (1 - r * np.exp(-t * v**0.5))


def paired(a, b):
    a, b = np.array(a, float), np.array(b, float)
    n = len(a)
    c = np.cov(a, b)  # ddof = 1
    v = c[0, 0] / n / a.mean() ** 2 + c[1, 1] / n / b.mean() ** 2 - 2 * c[0, 1] / n / a.mean() / b.mean()
    t = stats.t.ppf(0.975, n - 1)
    r = b.mean() / a.mean()
    return 100 * (1 - r), 100 * (1 - r * np.exp(t * v**0.5)), 100 * (1 - r * np.exp(-t * v**0.5))


def none_after(eggs):
    return 100 * (1 - stats.beta.ppf(0.975, 0 + 1, eggs - 0 + 1))


# The documented example data of eggCounts, `epgs`: 14 sheep, before and after.
BEFORE = [0, 3500, 400, 150, 0, 0, 0, 200, 0, 400, 0, 2000, 2900, 9300]
AFTER = [0, 200, 0, 50, 300, 0, 0, 0, 0, 0, 0, 0, 100, 800]

for name, f in (("unpaired", unpaired), ("paired", paired)):
    percent, low, high = f(BEFORE, AFTER)
    print(f"{name}: percent = {percent:.10f}, low = {low:.10f}, high = {high:.10f}")
made = (
    ([350, 150, 600, 200, 450, 900, 250, 300, 500, 400], [0, 0, 50, 0, 0, 100, 0, 0, 50, 0]),
    ([350, 150, 600, 200, 450, 900, 250, 300, 500, 400], [0, 0, 0, 0, 0, 50, 0, 0, 0, 0]),
)
for a, b in made:
    for name, f in (("unpaired", unpaired), ("paired", paired)):
        percent, low, high = f(a, b)
        print(f"{name} {b}: percent = {percent:.10f}, low = {low:.10f}, high = {high:.10f}")
for eggs in (6, 20, 41, 90, 377):
    print(f"eggs = {eggs}: low = {none_after(eggs):.10f}")
for nu in (1, 2, 3, 4, 5, 9, 13, 18, 26, 28, 29, 60, 199, 1000):
    print(f"degrees = {nu}: t = {stats.t.ppf(0.975, nu):.10f}")
