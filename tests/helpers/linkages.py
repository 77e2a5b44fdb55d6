"""Linkages for the travel tests: the two invented chassis and simple ones made by hand.

Bushing rates are invented.
"""

from __future__ import annotations

import math

import numpy as np
import scipy.linalg
from soapstone.layout import units
from soapstone.layout.arrays import Array
from soapstone.layout.setout import solve
from soapstone.layout.travel import descent
from soapstone.layout.travel.linkage import Bush, Linkage, linkage, rates, spread
from trucks import job

IN, DEG, LBF = units.IN, units.DEG, units.LBF


def bush(radial: float, axial: float, torsion: float, cone: float) -> Bush:
    """Rates in lbf/in and in lbf/deg."""
    return Bush(
        radial * LBF / IN, axial * LBF / IN, torsion * LBF * IN / DEG, cone * LBF * IN / DEG
    )


LOWER, UPPER = bush(40000, 6000, 40, 350), bush(30000, 4000, 25, 130)


def of_job(name: str = "demo") -> Linkage:
    return linkage(solve(job(name)).values, LOWER, UPPER)


def plain(
    y_joint: float = 16.0,
    y_axle: float = 16.0,
    lower: Bush = LOWER,
    upper: Bush = UPPER,
    bar: tuple[Array, Array] | None = None,
    up: float = 0.0,
) -> Linkage:
    """Mirror-symmetric chassis in inches: 40 in arms, upper arms in the plane of the arm; track bar
    on the joint line unless given.
    """
    a = np.array((0.0, y_axle, 14.0))
    f = np.array((-40.0, y_joint, 18.0))
    along = (f - a) / math.dist(f, a)
    up3 = np.cross((0, 1, 0), along)
    u = a + 9.5 * along + 2.25 * up3 / np.linalg.norm(up3)
    v = np.array((-0.75, y_axle + (y_joint - y_axle) * 0.75 / 40, 20.0))

    def both(p: Array) -> Array:
        return np.array((p, p * (1, -1, 1))) * IN

    ends = bar or (np.array((-40.0, -30.0, 18.0)), np.array((-40.0, 5.0, 18.0)))
    y = np.array(((0.0, 1.0, 0.0), (0.0, 1.0, 0.0)))
    return Linkage(
        np.array((0.0, 0.0, 17.0)) * IN,
        np.array(up),
        both(f),
        both(a),
        both(u),
        both(v),
        ends[0] * IN,
        ends[1] * IN,
        y,
        y,
        rates(lower, upper),
    )


def mirrored(lk: Linkage) -> Linkage:
    """The same chassis seen in a mirror."""
    flip = np.array((1.0, -1.0, 1.0))
    swap = [1, 0]
    return lk._replace(
        joint=lk.joint[swap] * flip,
        bolt=lk.bolt[swap] * flip,
        upper=lk.upper[swap] * flip,
        mount=lk.mount[swap] * flip,
        bar_axle=lk.bar_axle * flip,
        bar_frame=lk.bar_frame * flip,
        rates=lk.rates[[1, 0, 3, 2]],
    )


def many(h: Array, links: Linkage | None = None) -> Linkage:
    """As many of one linkage as there are heights, the demo's unless given."""
    one = links or of_job()
    return spread(Linkage(*(array[None] for array in one)), len(h))


def matrices(rng: np.random.Generator, lowest: float) -> tuple[Array, Array, Array]:
    """A KKT matrix (21, 21) whose Hessian on the free directions has a least eigenvalue of the sign
    of ``lowest``, in the scale of the descent; its scaled Hessian and constraints.
    """
    hess, jac = rng.normal(size=(18, 18)), rng.normal(size=(3, 18))
    free = scipy.linalg.null_space(jac)
    hess = hess + hess.T
    least = np.linalg.eigvalsh(free.T @ hess @ free)[0]
    hess += (lowest - least) * np.eye(18)
    whole = np.zeros((21, 21))
    whole[:18, :18] = hess / descent.SCALE / descent.SCALE[:, None]
    whole[18:, :18] = jac / descent.SCALE
    whole[:18, 18:] = whole[18:, :18].T
    return whole, hess, jac
