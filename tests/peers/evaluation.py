"""Breeding values, accuracies and variances beside numpy and scipy, by another road.

    python evaluation.py PROBLEMS.json

PROBLEMS.json is written by the example `evaluation` of the tests. Relationships come from the tabular method, the values
from generalised least squares on the whole matrix of variances (no mixed model equations), accuracies from the same, and
the variances from a plain search for the top of the restricted likelihood. Ends with 1 where a value differs by more
than 1e-6 (of values: in the unit of the records), or a variance by more than 1e-4 of all variance.
"""

import json
import sys

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize

VALUES, VARIANCES = 1e-6, 1e-4


def relationship(parents):
    n = len(parents)
    a = np.zeros((n, n))
    for i, (s, d) in enumerate(parents):
        for p in (s, d):
            if p >= 0:
                a[i, :i] += 0.5 * a[p, :i]
        a[:i, i] = a[i, :i]
        a[i, i] = 1.0 + (0.5 * a[s, d] if s >= 0 and d >= 0 else 0.0)
    return a


def incidence(of, levels):
    z = np.zeros((len(of), levels))
    for r, level in enumerate(of):
        if level >= 0:
            z[r, level] = 1.0
    return z


def full_rank(x):
    """As many columns as tell something, by singular values: another basis of the same space."""
    u, s, _ = np.linalg.svd(x, full_matrices=False)
    return u[:, s > 1e-9 * s[0]]


class Problem:
    def __init__(self, told):
        self.told = told
        self.y = np.array(told["records"])
        self.x = full_rank(np.hstack([incidence(f["of"], f["levels"]) for f in told["fixed"]]))
        a = relationship(told["parents"])
        self.blocks = []
        for b in told["blocks"]:
            k = a if b["kin"] else np.eye(b["levels"])
            self.blocks.append((k, [incidence(e["of"], b["levels"]) for e in b["effects"]]))
        self.parts = []
        for k, zs in self.blocks:
            for i, zi in enumerate(zs):
                for j in range(i + 1):
                    part = zi @ k @ zs[j].T
                    self.parts.append(part if i == j else part + part.T)
        self.parts.append(np.eye(len(self.y)))

    def theta(self):
        out = []
        for b in self.told["blocks"]:
            q = len(b["effects"])
            out += [b["variance"][i * q + j] for i in range(q) for j in range(i + 1)]
        return np.array(out + [self.told["residual"]])

    def fit(self, theta):
        v = sum(t * p for t, p in zip(theta, self.parts))
        factor = cho_factor(v, lower=True)
        vx = cho_solve(factor, self.x)
        inner = self.x.T @ vx
        b = np.linalg.solve(inner, vx.T @ self.y)
        rest = self.y - self.x @ b
        return factor, vx, inner, b, rest, cho_solve(factor, rest)

    def minus_log_likelihood(self, theta):
        try:
            factor, _, inner, _, rest, py = self.fit(theta)
        except np.linalg.LinAlgError:
            return 1e10
        determinant = 2.0 * np.log(np.diag(factor[0])).sum() + np.linalg.slogdet(inner)[1]
        return 0.5 * (determinant + rest @ py)

    def values(self):
        """Estimates and accuracies, block by block and effect by effect; and what the fixed effects make of each record."""
        factor, vx, inner, b, _, py = self.fit(self.theta())
        out = []
        for told, (k, zs) in zip(self.told["blocks"], self.blocks):
            q = len(zs)
            g = np.array(told["variance"]).reshape(q, q)
            for e in range(q):
                c = sum(g[e, j] * (k @ zs[j].T) for j in range(q))
                pc = cho_solve(factor, c.T) - vx @ np.linalg.solve(inner, vx.T @ c.T)
                own = g[e, e] * np.diag(k)
                explained = np.einsum("ij,ji->i", c, pc)
                out.append((c @ py, np.sqrt(np.clip(explained / own, 0.0, None))))
        return out, self.x @ b


def triangles(problem, own):
    """The search runs over the roots of the variances: triangles L with G = L·L'."""
    shape = [len(b["effects"]) for b in problem.told["blocks"]]

    def theta(l):
        out, at = [], 0
        for q in shape:
            t = np.zeros((q, q))
            for i in range(q):
                for j in range(i + 1):
                    t[i, j] = l[at]
                    at += 1
            g = t @ t.T
            out += [g[i, j] for i in range(q) for j in range(i + 1)]
        return np.array(out + [l[at] ** 2])

    start, at = [], 0
    for q in shape:
        g = np.zeros((q, q))
        for i in range(q):
            for j in range(i + 1):
                g[i, j] = g[j, i] = own[at]
                at += 1
        t = np.linalg.cholesky(g + 1e-8 * np.trace(g) * np.eye(q))
        start += [t[i, j] for i in range(q) for j in range(i + 1)]
    return theta, np.array(start + [np.sqrt(own[at])])


def apart(what, ours, theirs, within):
    most = float(np.max(np.abs(np.asarray(ours) - np.asarray(theirs))))
    print(f"  {what}: {np.size(ours)} values, at most {most:.1e} apart")
    return not most <= within


def check(path):
    bad = False
    with open(path, encoding="utf-8") as file:
        problems = json.load(file)
    for told in problems:
        problem = Problem(told)
        print(f"{told['model']} model: {len(problem.y)} records, {len(told['parents'])} animals")
        theirs, fitted = problem.values()
        effects = [e for b in told["blocks"] for e in b["effects"]]
        bad |= apart("fixed effects", told["fitted"], fitted, VALUES)
        for e, (value, accuracy) in zip(effects, theirs):
            bad |= apart(f"{e['name']}, values", e["value"], value, VALUES)
            # Near nought an accuracy is the root of a difference of like numbers.
            sure = accuracy > 1e-3
            bad |= apart(f"{e['name']}, accuracies", np.array(e["accuracy"])[sure], accuracy[sure], VALUES)
        own = told["own"].get("variances")
        if own is None:
            print(f"  no variances of its own: {told['own']['refused']}")
            bad = True
            continue
        # From the values the records were made by, and not from ours.
        theta, start = triangles(problem, list(problem.theta()))
        found = minimize(
            lambda l: problem.minus_log_likelihood(theta(l)),
            start,
            method="BFGS",
            options={"gtol": 1e-4, "maxiter": 200},
        )
        theirs = theta(found.x)
        whole = sum(problem.theta())
        bad |= apart("variances, as shares of all", np.array(own) / whole, theirs / whole, VARIANCES)
        ours = problem.minus_log_likelihood(np.array(own))
        print(f"  restricted likelihood: ours {-ours:.8f}, by search {-found.fun:.8f}")
        bad |= ours > found.fun + 1e-6
    return bad


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.exit(int(check(sys.argv[1])))
