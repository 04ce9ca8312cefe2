"""Inbreeding and coancestry beside public libraries: sgkit, and PyAGH where it is installed.

    python kinship.py check ANIMALS.csv KINSHIP.csv [MATRIX.csv]
        ANIMALS.csv: `hirsel export BOOK animals`; KINSHIP.csv: `hirsel reckon BOOK kinship --format csv`;
        MATRIX.csv: `hirsel reckon BOOK kinship --matrix`. Ends with 1 where a value differs by more than 1e-9 from
        sgkit, or 2e-6 from PyAGH, which reckons in single precision.

    python kinship.py time PEDIGREE.csv
        PEDIGREE.csv: written by the example `kinship` of the tests (animal,sire,dam,inbreeding). Prints seconds of each
        library on it, without reading and without compiling, and compares inbreeding.
"""

import csv
import sys
import time

import numpy as np

WITHIN = {"sgkit": 1e-9, "PyAGH": 2e-6}
# A dense matrix of more animals than this does not fit.
DENSE = 4_000


def read(path):
    with open(path, encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def in_order(animals):
    """Parents first: the order of places by depth, without recursion. `animals`: name -> (sire, dam) or ''."""
    done, order = set(), []
    for start in animals:
        stack = [start]
        while stack:
            a = stack[-1]
            if a in done:
                stack.pop()
                continue
            waiting = [p for p in animals[a] if p and p not in done]
            if waiting:
                stack.extend(waiting)
            else:
                done.add(a)
                order.append(a)
                stack.pop()
    return order


def sgkit_set(parents):
    import xarray as xr

    ds = xr.Dataset()
    ds["sample_id"] = ("samples", [str(i) for i in range(len(parents))])
    ds["parent"] = (("samples", "parents"), parents)
    return ds


def by_sgkit(parents):
    import sgkit

    made = sgkit.pedigree_inbreeding(sgkit_set(parents), allow_half_founders=True)
    return np.asarray(made["stat_pedigree_inbreeding"].values)


def coancestry_by_sgkit(parents):
    import sgkit

    made = sgkit.pedigree_kinship(sgkit_set(parents), allow_half_founders=True)
    return np.asarray(made["stat_pedigree_kinship"].values)


def by_pyagh(parents):
    """Inbreeding by the diagonal of the dense relationship matrix, and the coancestries; none without the library."""
    try:
        import pandas as pd
        import PyAGH
    except ImportError:
        return None
    name = lambda p: "0" if p < 0 else f"a{p}"
    rows = [(f"a{i}", name(s), name(d)) for i, (s, d) in enumerate(parents)]
    ordered = PyAGH.sortPed(pd.DataFrame(rows, columns=["id", "sire", "dam"]))
    a, ids = PyAGH.makeA(ordered)[:2]
    a = np.asarray(a)
    ids = [str(i) for i in np.asarray(ids).ravel()]
    at = {n: i for i, n in enumerate(ids)}
    order = [at[f"a{i}"] for i in range(len(parents))]
    return a[np.ix_(order, order)] / 2.0


def differ(what, peer, ours, theirs):
    most = float(np.max(np.abs(np.asarray(ours) - np.asarray(theirs)))) if len(ours) else 0.0
    print(f"{what}, {peer}: {np.size(ours)} values, at most {most:.1e} apart")
    return not most <= WITHIN[peer]


def check(animals_file, kinship_file, matrix_file=None):
    rows = read(animals_file)
    animals = {r["tag"]: (r["sire"], r["dam"]) for r in rows}
    # The egg's own mother counts where a lamb was carried by another.
    for r in rows:
        if r.get("genetic_dam"):
            animals[r["tag"]] = (r["sire"], r["genetic_dam"])
    # One of several rams is no known sire.
    known = lambda p: p if p in animals else ""
    animals = {a: (known(s), known(d)) for a, (s, d) in animals.items()}
    order = in_order(animals)
    at = {a: i for i, a in enumerate(order)}
    parents = np.array([[at.get(p, -1) for p in animals[a]] for a in order], dtype=np.int64)
    ours = {r["tag"]: float(r["inbreeding"]) for r in read(kinship_file)}
    asked = [at[tag] for tag in ours]
    print(f"{len(order)} animals, {len(ours)} of them in the flock, {sum(f > 0 for f in ours.values())} inbred")
    bad = differ("inbreeding", "sgkit", list(ours.values()), by_sgkit(parents)[asked])
    peer = by_pyagh(parents) if len(order) <= DENSE else None
    if peer is not None:
        bad |= differ("inbreeding", "PyAGH", list(ours.values()), 2 * np.diag(peer)[asked] - 1)
    if matrix_file:
        table = read(matrix_file)
        tags = [r["tag"] for r in table]
        matrix = np.array([[float(r[t]) for t in tags] for r in table])
        chosen = [at[t] for t in tags]
        square = np.ix_(chosen, chosen)
        if len(order) <= DENSE:
            bad |= differ("coancestry", "sgkit", matrix, coancestry_by_sgkit(parents)[square])
        if peer is not None:
            bad |= differ("coancestry", "PyAGH", matrix, peer[square])
    return bad


def seconds(path):
    data = np.loadtxt(path, delimiter=",", skiprows=1)
    parents = data[:, 1:3].astype(np.int64) - 1
    small = np.array([[-1, -1], [-1, -1], [0, 1], [2, 1]])
    by_sgkit(small)  # compiled beforehand
    start = time.perf_counter()
    f = by_sgkit(parents)
    print(f"sgkit, {len(parents)} animals: {time.perf_counter() - start:.2f} s")
    bad = differ("inbreeding", "sgkit", data[:, 3], f)
    first = parents[:DENSE]
    start = time.perf_counter()
    peer = by_pyagh(first)
    if peer is not None:
        print(f"PyAGH (dense), the first {len(first)} animals: {time.perf_counter() - start:.2f} s")
        bad |= differ("inbreeding", "PyAGH", data[:DENSE, 3], 2 * np.diag(peer) - 1)
    return bad


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["check", *files] if 2 <= len(files) <= 3:
            sys.exit(check(*files))
        case ["time", path]:
            sys.exit(seconds(path))
        case _:
            sys.exit(__doc__)
