"""The same estimate and the same slice by other means, to hold the program against.

    python answer.py FOLDER WORKINGS [FOLDER WORKINGS ...]

reads joints' folders and prints one line of JSON for each. Written from the model's
definitions and not from the program's code: fields are dense covariance matrices of the
Matern 3/2 kernel where the program carries states along the arc; all unknowns are whitened
and solved as one dense system; derivatives of a pose come from complex steps through the
matrix exponential; bounds are settled to 1e-5 mm, not to what is good enough at the bench;
the slice is a linear program for HiGHS. Numbers of the model (prior sizes, what a reading of
zero says, aims) are stated again below.

WORKINGS is a JSON file with what can't be computed twice and come out the same:

- `waves_mm`, `spring_mm`, `errors`: the amplitudes at which the program's search of the
  evidence ended, somewhere near the top. Checked: how much better the evidence is at the top
  that scipy finds.
- `alike`: how alike the errors of neighbouring readings are (gap, seat, lift), where a few steps
  from nothing lead. Here they stand in one dense matrix of errors.
- `curved`: whether a gentle curve was believed. Checked: the evidence for it, where a plane
  was kept.
- `taken`: what recorded strokes took, mean and sd over random draws of earlier estimates.
- `push_per_mm`: what each clearance carried of each push home, averaged over random draws.
  Checked: forces in balance, as the dual of the push demands, and none below zero.
"""

import csv
import json
import os
import sys
import time
import tomllib
from pathlib import Path

# The matrices are small: threads would only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from numpy.polynomial import legendre
from scipy.interpolate import CubicSpline
from scipy.linalg import cho_factor, cho_solve, cholesky, expm, solve_triangular
from scipy.optimize import linprog, minimize
from scipy.special import erfcx

# Prior standard deviations (mm, or shares) and lengths (mm).
WAVES_LENGTH, SPRING_LENGTH, LINE_LENGTH = 90.0, 200.0, 200.0
WAVES, SPRING, LINE, CURVE, PLANE, POSE = 0.15, 0.06, 1.0, 0.5, 5.0, 2.0
STROKE_SPREAD = PLANE_SPREAD = 0.2
# The spring of a place's own: Student t with one degree of freedom and this scale; the normal
# that stands for it begins this many scales wide.
LOW, LOW_WIDE = 0.01, 8.0
# How far the evidence may move waves, spring and reading errors: sd of logarithms.
SPREAD = np.array([0.3, 0.7, 0.25])
FURTHEST = 4.0
# A joint edge without a read seat is held down within this, mm.
HELD_DOWN = 0.05
# A reading of zero: centre and sd in units of the reading's sd.
ZERO = (-1.08, 1.162)
# A reading under this many sd is between nothing and itself.
NOTHING = 0.25
# A reading further off than this many sd loses weight with the third power.
DOUBT = 2.5
# The push home: mean gap + mean seat + a quarter of the mean lift.
PUSH, PUSH_STRENGTH = np.array([1.0, 1.0, 0.25]), 70.0
# The slice: lift aimed at as a share of its tolerance, seat as a share of that; costs
# of a mm of gap and of lift and seat beyond their aims against a mm of wood.
LIFT_AIM, SEAT_SHARE, GAP_COST, LIFT_COST = 0.36, 0.1, 1000.0, 20.0

GAP, SEAT, LIFT = range(3)


class Folder:
    """A joint's folder in mm and radians; what was not read is nan."""

    def __init__(self, path):
        path = Path(path)
        settings = tomllib.loads((path / "joint.toml").read_text(encoding="utf-8"))
        mm = {"mm": 1.0, "inch": 25.4}[settings.get("units", "mm")]
        stations = rows(path / "stations.csv")
        self.names = [s["station"] for s in stations]
        column = lambda name, unit: np.array([number(s.get(name)) for s in stations]) * unit
        self.tape = "arc" in stations[0]
        self.along = column("arc" if self.tape else "along", mm)
        self.width, self.rise = column("width", mm), column("rise", mm)
        self.bevel = column("bevel", np.pi / 180)
        self.out_of_plane = np.nan_to_num(column("out_of_plane", mm))
        self.faceted = settings.get("mold", "round") == "faceted"
        inner, outer = (column(f"{side}_bevel", np.pi / 180) for side in ("inner", "outer"))
        flat = self.bevel if self.faceted else 0.0 * self.bevel
        self.inner = np.where(np.isnan(inner), flat, inner)
        self.outer = np.where(np.isnan(outer), self.bevel if self.faceted else 2 * self.bevel, outer)
        self.spare = settings["spare"] * mm if "spare" in settings else np.inf
        tolerance, errors = settings.get("tolerance", {}), settings.get("reading", {})
        self.lift_tolerance = tolerance["lift"] * mm if "lift" in tolerance else 0.15
        stated = {"gap": 0.1, "line": 0.3, "lift": 0.15, "seat": 0.1}
        self.sd = {k: errors[f"{k}_sd"] * mm if f"{k}_sd" in errors else v for k, v in stated.items()}
        self.readings(rows(path / "readings.csv"), mm)
        self.pushes(path / "strokes.csv")

    def readings(self, table, mm):
        count = max(int(r["round"]) for r in table)
        self.line = np.zeros(count, bool)
        self.rebent = np.zeros(count, bool)
        self.read = np.full((count, 3, len(self.names)), np.nan)
        for r in table:
            k, i = int(r["round"]) - 1, self.names.index(r["station"])
            gap = number(r["gap"]) if "gap" in r else -number(r.get("overlap"))
            self.read[k, :, i] = mm * np.array([gap, number(r.get("seat")), number(r.get("lift"))])
            self.line[k] |= r["against"] == "line"
            self.rebent[k] |= r.get("rebent", "").strip().lower() in ("yes", "1", "true", "x")

    def pushes(self, path):
        """Pushes over each station, by round and plane."""
        self.pushed = {}
        for s in rows(path) if path.exists() else []:
            first, last = self.names.index(s["from"]), self.names.index(s["to"])
            here = self.pushed.setdefault((int(s["round"]) - 1, s["plane"]), np.zeros(len(self.names)))
            here[first : last + 1] += int(s["count"])


def rows(path):
    with open(path, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def number(cell):
    return float(cell) if cell else np.nan


class Joint:
    """Directions at the stations, and what a pose does there."""

    def __init__(self, f):
        rise = np.nan_to_num(f.rise)
        along = along_chord(f.along, rise) if f.tape else f.along
        flat = np.column_stack([along, 0 * along, rise])
        curve, at = smooth(flat)
        first, second = curve(at, 1), curve(at, 2)
        speed = np.linalg.norm(first, axis=1)
        tangent = first / speed[:, None]
        bend = first[:, 2] * second[:, 0] - first[:, 0] * second[:, 2]
        self.along_curvature = bend / speed**3
        self.arc = lengths(curve, at)
        y = np.array([0.0, 1.0, 0.0])
        outward = np.column_stack([-tangent[:, 2], 0 * along, tangent[:, 0]])
        lean = lambda a: np.sin(a)[:, None] * y + np.cos(a)[:, None] * outward
        across = np.cos(f.bevel)[:, None] * y - np.sin(f.bevel)[:, None] * outward
        self.inner = flat + f.out_of_plane[:, None] * y
        self.outer = self.inner + f.width[:, None] * across
        self.cos_bevel = np.cos(f.bevel)
        # Off the mold, along the line and across it.
        self.seat_axes = axes(lean(f.inner), tangent)
        # The mold's normal at the outer line stands square to that line.
        line, at = smooth(self.outer)
        tangent, normal = unit(line(at, 1)), lean(f.outer)
        slant = np.sum(normal * tangent, axis=1)
        self.lift_axes = axes(unit(normal - slant[:, None] * tangent), tangent)
        self.across_curvature = 0 * along if f.faceted else (f.outer - f.inner) / f.width
        self.pivot = np.array([along.mean(), 0.0, rise.mean()])
        self.arm = max(self.arc[-1] / 2, 1.0)
        # Derivatives by a pose are told in mm at half the joint's length.
        self.units = np.array([1, 1, 1, 1 / self.arm, 1 / self.arm, 1 / self.arm])

    def shares(self):
        weights = np.zeros(len(self.arc))
        weights[1:] += np.diff(self.arc) / 2
        weights[:-1] += np.diff(self.arc) / 2
        return weights / self.arc[-1]

    def shift(self, poses):
        """Gap, seat and lift that poses (m by 6, turns times half the length) add: m by 3 by n."""
        poses = poses * self.units
        turn = expm(cross_matrices(poses[:, 3:]))
        moved = lambda p: poses[:, None, :3] + (p - self.pivot) @ np.swapaxes(turn, 1, 2) - (p - self.pivot)
        inner, outer = moved(self.inner), moved(self.outer)
        seat = self.off_mold(self.seat_axes, inner)
        lift = self.off_mold(self.lift_axes, outer)
        return np.stack([inner[:, :, 1] / self.cos_bevel, seat, lift], axis=1)

    def off_mold(self, axes, d):
        off, along, across = np.einsum("aij,mij->ami", axes, d)
        return off + (along**2 * self.along_curvature + across**2 * self.across_curvature) / 2

    def linear(self, poses):
        """The same with derivatives, m by 3 by n by 6, by complex steps."""
        step = 1e-30
        steps = poses[:, None] + 1j * step * np.eye(6)
        values = self.shift(steps.reshape(-1, 6)).reshape(len(poses), 6, 3, -1)
        return values[:, 0].real, np.moveaxis(values.imag, 1, -1) / step


def smooth(points):
    """Cubic spline with not-a-knot ends over the length of the polygon."""
    at = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))])
    return CubicSpline(at, points, bc_type="not-a-knot"), at


def lengths(curve, at):
    nodes, weights = legendre.leggauss(24)
    half = np.diff(at) / 2
    places = (at[:-1] + half)[:, None] + half[:, None] * nodes
    speed = np.linalg.norm(curve(places, 1), axis=2)
    return np.concatenate([[0.0], np.cumsum(half * (speed @ weights))])


def along_chord(tape, rise):
    """Distances along the chord from a tape along the edge: dx = cos of the climb."""
    nodes, weights = legendre.leggauss(24)
    half = np.diff(tape) / 2
    places = (tape[:-1] + half)[:, None] + half[:, None] * nodes
    climb = CubicSpline(tape, rise, bc_type="not-a-knot")(places, 1)
    steps = half * (np.sqrt(np.maximum(1 - climb**2, 1e-4)) @ weights)
    return tape[0] + np.concatenate([[0.0], np.cumsum(steps)])


def unit(v):
    return v / np.linalg.norm(v, axis=1)[:, None]


def axes(normal, tangent):
    return np.stack([normal, tangent, np.cross(normal, tangent)])


def cross_matrices(w):
    m = np.zeros((len(w), 3, 3), w.dtype)
    m[:, 2, 1], m[:, 0, 2], m[:, 1, 0] = w.T
    return m - np.swapaxes(m, 1, 2)


def runs(places):
    """Lists of numbers that follow one another."""
    return np.split(places, np.flatnonzero(np.diff(places) != 1) + 1) if len(places) else []


def matern(arc, length):
    a = np.sqrt(3.0) * np.abs(arc[:, None] - arc) / length
    return (1 + a) * np.exp(-a)


def forms(joint):
    """The edge's plane (n by 3), and up to two gentle curves free of any plane."""
    d = joint.inner - joint.pivot
    plane = np.column_stack([np.ones(len(d)), d[:, 0] / joint.arm, d[:, 2] / joint.arm])
    plane /= joint.cos_bevel[:, None]
    modes, basis = [], plane
    place = 2 * joint.arc / joint.arc[-1] - 1
    for degree in (2, 3, 4) if len(d) >= 7 else ():
        raw = legendre.legval(place, np.eye(5)[degree])
        rest = raw - basis @ np.linalg.lstsq(basis, raw, rcond=1e-9)[0]
        if len(modes) < 2 and np.linalg.norm(rest) >= 0.2 * np.linalg.norm(raw):
            modes.append(rest / np.abs(rest).max())
            basis = np.column_stack([basis, rest])
    return plane, np.array(modes).reshape(len(modes), len(d)).T


def cut_moments(mean, variance, push):
    """Mean and variance of a normal times exp(-push c), cut off below zero."""
    sd = np.sqrt(variance)
    z = mean / sd - push * sd
    # phi(z) / Phi(z), by the scaled complementary error function so that nothing underflows.
    hazard = np.sqrt(2 / np.pi) / erfcx(-z / np.sqrt(2))
    return mean - push * variance + sd * hazard, variance * np.maximum(1 - hazard * (z + hazard), 1e-6)


class Estimate:
    """All rounds in one Gaussian estimate."""

    def __init__(self, folder, joint, given, curved):
        self.f, self.joint, self.given = folder, joint, given
        self.n, self.rounds = len(joint.arc), len(folder.line)
        self.bending = np.cumsum(folder.rebent & (np.arange(self.rounds) > 0))
        self.plane, modes = forms(joint)
        self.modes = modes if curved else modes[:, :0]
        self.taken = given["taken"]
        self.used = sorted({t["plane"] for t in self.taken})
        self.places()
        self.wood()
        self.what_was_read()
        self.push = np.array(given["push_per_mm"]).swapaxes(1, 2).reshape(-1)
        self.poses = np.zeros((self.rounds, 6))
        rows = 3 * self.n * self.rounds
        self.tau, self.pull, self.weights = np.zeros(rows), np.zeros(rows), np.ones(rows)
        self.amplitudes = (given["waves_mm"], given["spring_mm"], given["errors"])
        self.alike = np.repeat(np.array([given["alike"]] * self.rounds), self.n)
        self.low = {b: np.full(self.n, LOW * LOW_WIDE) for b in range(self.bending[-1] + 1)}
        self.settled_root = self.root(*self.amplitudes[:2])

    def places(self):
        """Where each unknown stands."""
        sizes = [("waves", self.n), ("line", self.n if self.f.line.any() else 0), ("plane", 3)]
        sizes += [(("spring", b), self.n) for b in range(self.bending[-1] + 1)]
        sizes += [(("low", b), self.n) for b in range(self.bending[-1] + 1)]
        sizes += [("curve", self.modes.shape[1])]
        sizes += [(("pose", k), 6) for k in range(self.rounds)]
        sizes += [(("own", p), 1) for p in self.used] + [("groups", len(self.taken))]
        ends = np.cumsum([s for _, s in sizes])
        self.at = {name: slice(end - size, end) for (name, size), end in zip(sizes, ends)}
        self.count = ends[-1]

    def root(self, waves, spring):
        """Lower root of the prior covariance of all unknowns."""
        arc = self.joint.arc
        field = lambda amplitude, length: amplitude * cholesky(matern(arc, length), lower=True)
        root = np.zeros((self.count, self.count))
        for name, at in self.at.items():
            kind = name if isinstance(name, str) else name[0]
            if kind == "waves":
                root[at, at] = field(waves, WAVES_LENGTH)
            elif kind == "spring":
                root[at, at] = field(spring, SPRING_LENGTH)
            elif kind == "low":
                root[at, at] = np.diag(self.low[name[1]])
            elif kind == "line" and at.start < at.stop:
                root[at, at] = field(LINE, LINE_LENGTH)
            elif kind == "groups":
                most = [max(1.0, self.pushes(t).max()) for t in self.taken]
                root[at, at] = np.diag([STROKE_SPREAD / np.sqrt(m) for m in most])
            elif kind != "line":
                sizes = {"plane": PLANE, "curve": CURVE, "pose": POSE, "own": PLANE_SPREAD}
                root[at, at] = sizes[kind] * np.eye(at.stop - at.start)
        return root

    def pushes(self, taken):
        return self.f.pushed[taken["round"] - 1, taken["plane"]]

    def wood(self):
        """What the wood itself adds to each clearance: rows by unknowns, and constants."""
        wood = np.zeros((self.rounds, 3, self.n, self.count))
        self.constant = np.zeros((self.rounds, 3, self.n))
        self.blur = np.zeros((self.rounds, 3, self.n))
        one = np.eye(self.n)
        for k in range(self.rounds):
            wood[k, GAP, :, self.at["waves"]] = -one
            wood[k, GAP, :, self.at["plane"]] = -self.plane
            wood[k, GAP, :, self.at["curve"]] = -self.modes
            wood[k, LIFT, :, self.at["spring", self.bending[k]]] = one
            wood[k, LIFT, :, self.at["low", self.bending[k]]] = one
            if self.f.line[k]:
                wood[k, GAP, :, self.at["line"]] = -one
            for g, taken in enumerate(self.taken):
                if taken["round"] - 1 < k:
                    continue
                cut = np.array(taken["cut_mm"])
                self.constant[k, GAP] -= cut
                self.blur[k, GAP] += np.array(taken["sd_mm"]) ** 2
                wood[k, GAP, :, self.at["own", taken["plane"]].start] -= cut
                wood[k, GAP, :, self.at["groups"].start + g] -= cut
        self.wood_rows = wood

    def what_was_read(self):
        """Values, variances as stated, and which of them count as readings."""
        line = self.f.line[:, None]
        value = self.f.read.copy()
        sd = np.empty_like(value)
        sd[:, GAP] = np.where(line, self.f.sd["line"], self.f.sd["gap"])
        sd[:, SEAT], sd[:, LIFT] = self.f.sd["seat"], self.f.sd["lift"]
        self.was_read = ~np.isnan(value)
        free = np.zeros_like(self.was_read)
        free[:, GAP] = line
        zero = self.was_read & ~free & (np.nan_to_num(value, nan=np.inf) < NOTHING * sd)
        some = np.maximum(value[zero], 0.0)
        nothing = 1 - some / (NOTHING * sd[zero])
        value[zero] = some + nothing * ZERO[0] * sd[zero]
        sd[zero] *= 1 + nothing * (ZERO[1] - 1)
        assumed = ~self.was_read[:, SEAT]
        value[:, SEAT][assumed], sd[:, SEAT][assumed] = 0.0, HELD_DOWN
        self.counts = ~np.isnan(value).reshape(-1)
        self.value = np.nan_to_num(value).reshape(-1)
        self.variance = (sd**2).reshape(-1)
        self.was_read, self.bounded = self.was_read.reshape(-1), ~free.reshape(-1)
        self.blur = self.blur.reshape(-1)

    def look(self):
        """All clearances as rows around the present poses: matrix and offsets."""
        matrix, offset = self.wood_rows.copy(), self.constant.copy()
        value, slope = self.joint.linear(self.poses)
        for k, pose in enumerate(self.poses):
            matrix[k, :, :, self.at["pose", k]] = slope[k]
            offset[k] += value[k] - slope[k] @ pose
        return matrix.reshape(-1, self.count), offset.reshape(-1)

    def noise(self, errors):
        """Variance of each reading, without weights."""
        return self.variance * np.where(self.was_read, errors**2, 1.0) + self.blur

    def shared(self, precision):
        """Precision of all readings together, with neighbours' errors correlated; and what each
        says by itself, beside differences from its neighbours."""
        scale = np.sqrt(precision)
        together, own = np.diag(precision), precision.copy()
        for row in np.arange(len(precision)).reshape(-1, self.n):
            for run in runs(row[self.was_read[row]]):
                rho = self.alike[run[0]]
                likeness = rho ** np.abs(run[:, None] - run)
                together[np.ix_(run, run)] = np.outer(scale[run], scale[run]) * np.linalg.inv(likeness)
                neighbours = np.full(len(run), 2) - (run == run[0]) - (run == run[-1])
                own[run] *= 1 - neighbours * rho / (1 + rho)
        return together, own

    def solve(self, rows, offset):
        """Unknowns, their covariance's root, each clearance's mean and variance, weights."""
        root = self.settled_root
        white = rows @ root
        precision = np.where(self.counts, self.weights / self.noise(self.amplitudes[2]), 0.0)
        together, own = self.shared(precision)
        pull = together @ (self.value - offset) + self.pull - self.tau * offset
        system = np.eye(self.count) + white.T @ ((together + np.diag(self.tau)) @ white)
        factor = cholesky(system, lower=True)
        found = cho_solve((factor, True), white.T @ pull)
        spread = solve_triangular(factor, root.T, lower=True).T
        variance = np.sum((rows @ spread) ** 2, axis=1)
        return root @ found, spread, white @ found + offset, variance, own

    def settle(self, limit=1e-5, most=400):
        """Relinearises, bounds and weighs until nothing moves any more."""
        moved, before = np.inf, None
        for self.steps in range(1, most + 1):
            rows, offset = self.look()
            unknowns, spread, mean, variance, precision = self.solve(rows, offset)
            if before is not None:
                moved = max(np.abs(mean - before[0]).max(), np.abs(np.sqrt(variance) - before[1]).max())
            before = mean, np.sqrt(variance)
            self.weigh(mean, variance, precision)
            self.bound(mean, variance)
            self.narrow(unknowns, spread)
            for k in range(self.rounds):
                self.poses[k] = unknowns[self.at["pose", k]]
            if moved < limit:
                break
        self.moved = moved
        self.unknowns, self.spread = unknowns, spread

    def weigh(self, mean, variance, precision):
        """Weighs readings by their distance from what all others say."""
        others = 1 / variance - precision
        sure = self.was_read & (others > 1e-6 / variance)
        others = np.where(sure, others, 1.0)
        expected = (mean / variance - precision * self.value) / others
        off = (self.value - expected) / np.sqrt(1 / others + self.noise(self.amplitudes[2]))
        self.surprise = np.where(sure, off, 0.0)
        self.weights = (DOUBT / np.maximum(np.abs(self.surprise), DOUBT)) ** 3

    def bound(self, mean, variance, share=0.5):
        """Expectation propagation: terms that do what the cut at zero and the push do."""
        b = self.bounded
        precision = 1 / variance[b] - self.tau[b]
        rest_mean = (mean[b] / variance[b] - self.pull[b]) / precision
        cut_mean, cut_variance = cut_moments(rest_mean, 1 / precision, self.push[b])
        tau = np.maximum(1 / cut_variance - precision, 0.0)
        pull = cut_mean / cut_variance - rest_mean * precision
        self.tau[b] += share * (tau - self.tau[b])
        self.pull[b] += share * (pull - self.pull[b])

    def narrow(self, unknowns, spread):
        """The normals that stand for the places' own springs, by what is known of these now."""
        for b, sd in self.low.items():
            at = self.at["low", b]
            square = unknowns[at] ** 2 + np.sum(spread[at] ** 2, axis=1)
            sd[:] = np.sqrt((LOW**2 + square) / 2)
            self.settled_root[at, at] = np.diag(sd)

    def spring(self, bending):
        """Rows of a bending's spring at the stations."""
        rows = np.zeros((self.n, self.count))
        rows[:, self.at["spring", bending]] = rows[:, self.at["low", bending]] = np.eye(self.n)
        return rows

    def edge(self):
        """Rows of the edge at the stations."""
        rows = np.zeros((self.n, self.count))
        rows[:, self.at["waves"]] = np.eye(self.n)
        rows[:, self.at["plane"]], rows[:, self.at["curve"]] = self.plane, self.modes
        return rows

    def of(self, rows):
        """Means and standard deviations of linear functions of the unknowns."""
        return rows @ self.unknowns, np.sqrt(np.sum((rows @ self.spread) ** 2, axis=1))

    def part(self, name):
        return self.of(np.eye(self.count)[self.at[name]])

    def log_evidence(self, waves, spring, errors):
        """Log density of readings and terms, on the present poses, weights and bounds."""
        rows, offset = self.look()
        white = rows @ self.root(waves, spring)
        precision = np.where(self.counts, self.weights / self.noise(errors), 0.0)
        term = np.where(self.tau > 1e-9, self.tau, 0.0)
        centre = np.divide(self.pull, term, out=offset.copy(), where=term > 0) - offset
        read = np.where(self.counts, self.value - offset, 0.0)
        together, _ = self.shared(precision)
        system = np.eye(self.count) + white.T @ ((together + np.diag(term)) @ white)
        factor, pull = cho_factor(system, lower=True), white.T @ (together @ read + term * centre)
        log = 0.5 * pull @ cho_solve(factor, pull) - np.log(np.diag(factor[0])).sum()
        log -= 0.5 * (read @ together @ read + term @ centre**2)
        return log + 0.5 * np.log(precision[self.counts]).sum()


def evidence_left(estimate):
    """How much the penalised log evidence at its top is above that at the given amplitudes."""
    base = np.array([WAVES, SPRING, 1.0])

    def cost(log):
        log = np.clip(log, -FURTHEST * SPREAD, FURTHEST * SPREAD)
        return 0.5 * np.sum((log / SPREAD) ** 2) - estimate.log_evidence(*(base * np.exp(log)))

    here = np.log(np.array(estimate.amplitudes) / base)
    top = minimize(cost, here, method="L-BFGS-B", options={"maxiter": 60})
    return cost(here) - top.fun, list(base * np.exp(top.x))


def curve_evidence(flat):
    """How far the evidence speaks for a gentle curve, on the bounds of the plane."""
    curved = Estimate(flat.f, flat.joint, flat.given, True)
    if curved.modes.shape[1] == 0:
        return None
    for kept in ("poses", "tau", "pull", "weights", "low"):
        setattr(curved, kept, getattr(flat, kept))
    return curved.log_evidence(*flat.amplitudes) - flat.log_evidence(*flat.amplitudes)


def balance(estimate):
    """How far the push's multipliers are from carrying the push, as a share of it."""
    if estimate.f.line.all():
        return 0.0
    carried = estimate.push.reshape(estimate.rounds, 3, estimate.n) / PUSH_STRENGTH
    _, slope = estimate.joint.linear(estimate.poses)
    lacking = np.einsum("rkic,rki->rc", slope, PUSH[:, None] / estimate.n - carried)
    return max(np.abs(lacking[~estimate.f.line]).max(), -carried.min())


def least_wood(folder, joint, edge, spring, gone, pose):
    """The least-wood slice, a linear program around the pose until the pose settles."""
    shares, n = joint.shares(), len(edge)
    spare = np.maximum(folder.spare - gone, 0.0)
    lifts = not np.isnan(folder.read[:, LIFT]).all()
    aim = LIFT_AIM * folder.lift_tolerance
    one, none = np.eye(n), np.zeros((n, n))

    # Unknowns: the pose's step, its size (for ties), wood, and gap, seat and lift beyond aims.
    def rows(step, size=np.zeros((n, 6)), **beyond):
        return np.hstack([step, size] + [beyond.get(k, none) for k in ("wood", "gap", "seat", "lift")])

    ties = np.hstack([-np.eye(6), np.zeros((6, 4 * n))])
    costs = np.concatenate([shares, GAP_COST * shares, LIFT_COST * shares, LIFT_COST * shares])
    costs = np.concatenate([np.zeros(6), np.full(6, 1e-6), costs])
    bounds = [(None, None)] * 6 + [(0, None)] * (6 + 4 * n)
    for _ in range(30):
        shift, slope = (v[0] for v in joint.linear(pose[None]))
        height, lift = edge - shift[GAP], shift[LIFT] + spring
        limits = [
            (rows(-slope[GAP], wood=-one), -height),
            (rows(slope[GAP], gap=-one), height),
            (np.hstack([np.eye(6), ties]), -pose),
            (np.hstack([-np.eye(6), ties]), pose),
        ]
        if np.isfinite(folder.spare):
            limits.append((rows(-slope[GAP]), spare - height))
        if lifts:
            limits += [
                (rows(-slope[SEAT]), shift[SEAT]),
                (rows(-slope[LIFT]), lift),
                (rows(slope[SEAT], seat=-one), SEAT_SHARE * aim - shift[SEAT]),
                (rows(slope[LIFT], lift=-one), aim - lift),
            ]
        matrix, right = (np.concatenate(part) for part in zip(*limits))
        found = linprog(costs, matrix, right, bounds=bounds, method="highs")
        assert found.success, found.message
        pose = pose + found.x[:6]
        if np.abs(found.x[:6]).max() < 1e-7:
            break
    return pose, np.maximum(edge - joint.shift(pose[None])[0, GAP], 0.0)


def answer(folder, workings):
    given = json.loads(Path(workings).read_text(encoding="utf-8"))
    start = time.perf_counter()
    f = Folder(folder)
    joint = Joint(f)
    fit = Estimate(f, joint, given, given["curved"])
    fit.settle()
    edge, edge_sd = fit.of(fit.edge())
    spring, spring_sd = fit.of(fit.spring(fit.bending[-1]))
    own = {p: fit.part(("own", p)) for p in fit.used}
    group = fit.part("groups")[0]
    share = lambda g, t: max(0.0, 1 + own[t["plane"]][0][0] + group[g])
    gone = sum((share(g, t) * np.array(t["cut_mm"]) for g, t in enumerate(fit.taken)), np.zeros(fit.n))
    pose, remove = least_wood(f, joint, edge, spring, gone, fit.poses[-1])
    seconds = time.perf_counter() - start
    final = joint.shift(pose[None])[0]
    found = {
        "edge_mm": edge,
        "edge_sd_mm": edge_sd,
        "spring_mm": spring,
        "spring_sd_mm": spring_sd,
        "line_error_mm": fit.part("line")[0],
        "moved_mm": joint.shift(fit.poses),
        "shavings": {p: [1 + v[0][0], v[1][0]] for p, v in own.items()},
        "remove_mm": remove,
        "left_mm": [np.maximum(final[GAP] - edge, 0.0), final[SEAT], final[LIFT] + spring],
        "seconds": seconds,
        "steps": fit.steps,
        "unsettled_mm": fit.moved,
    }
    if given.get("check"):
        found["evidence_left"], found["top"] = evidence_left(fit)
        found["unbalanced"] = balance(fit)
        found["curve_evidence"] = None if given["curved"] else curve_evidence(fit)
    return found


if __name__ == "__main__":
    plain = lambda v: v.tolist() if hasattr(v, "tolist") else v
    for folder, workings in zip(sys.argv[1::2], sys.argv[2::2]):
        print(json.dumps(answer(folder, workings), default=plain), flush=True)
