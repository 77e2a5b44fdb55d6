"""The same chassis in a general-purpose multibody library (MuJoCo, Apache-2.0), test-only: its own
bodies, joints and springs.

Bodies and springs are MuJoCo's: the axle on slides and hinges, arms and upper arms on a six-spring
joint at each bolt (slides with radial and axial rates, hinges y, x, z with torsion and cone rates),
frame and upper joints and the track bar as closed loops. Kinematics, spring forces and loop
residuals with their Jacobians come from MuJoCo; the least-energy state under the loops is found
here by SciPy-free Newton steps on its own finite differences. Nothing of the tool's travel model is
used. Inches would do as well: the rig works in the linkage's mm and N.
"""

from __future__ import annotations

import math

import mujoco
import numpy as np
from numpy.typing import NDArray

A = NDArray[np.float64]


def _vec(v: A) -> str:
    return " ".join(f"{x:.15g}" for x in v)


class Rig:
    """A chassis as bodies.

    ``free``: heave and roll are unknowns too (for the set-down truck); else they are set by ``at``.

    Points in mm, truck coordinates at ride height: joint, bolt, upper, mount (2, 3) each; bar axle
    and frame ends; bushing rates (4, 4) as N/mm and N mm/rad.
    """

    def __init__(
        self,
        center: A,
        joint: A,
        bolt: A,
        upper: A,
        mount: A,
        bar: tuple[A, A],
        rates: A,
        *,
        free: bool = False,
        moved: dict[str, A] | None = None,
        coils: tuple[A, A, A, A] | None = None,
        rear: tuple[float, float] = (0.0, 0.0),
        load: float = 0.0,
    ) -> None:
        """``moved``: frame joints "joint" (2, 3), arm lengths "arm" (2,), upper "upper" (2,), bar
        mount "bar" (3,). ``coils``: lower and upper seats (2, 3), rate and free length (2,) each.
        ``rear``: roll rate and lean. ``load``: weight on the front springs.
        """
        off = moved or {}
        self.center, self.joint, self.free = (
            center,
            joint + off.get("joint", np.zeros((2, 3))),
            free,
        )
        self.bar = (bar[0], bar[1] + off.get("bar", np.zeros(3)))
        self.long, self.load = math.dist(*bar), load
        self.pushes: list[tuple[A, A]] = []
        self.pull = np.zeros(13)
        arm, link = joint - bolt, upper - mount
        more, up_more = off.get("arm", np.zeros(2))[:, None], off.get("upper", np.zeros(2))[:, None]
        far = arm + more * arm / np.linalg.norm(arm, axis=1, keepdims=True)
        # the joint screws out of the arm's rear end: the upper joint stays where it is on the arm
        up_far = link + up_more * link / np.linalg.norm(link, axis=1, keepdims=True)
        arms = ""
        sites = ""
        for s, n in enumerate("LR"):
            arms += self._body(f"arm{n}", bolt[s] - center, rates[s], far[s], upper[s] - bolt[s])
            arms += self._body(f"up{n}", mount[s] - center, rates[2 + s], up_far[s], None)
        world = tendons = ""
        for s, n in enumerate("LR") if coils else ():
            low, top, rate, long = coils
            sites += f'<site name="low{n}" pos="{_vec(low[s] - center)}"/>'
            world += f'<site name="top{n}" pos="{_vec(top[s])}"/>'
            tendons += (
                f'<spatial stiffness="{rate[s]:.15g}" springlength="{long[s]:.15g}"><site'
                f' site="low{n}"/><site site="top{n}"/></spatial>'
            )
        sites += f'<site name="bar" pos="{_vec(bar[0] - center)}"/>'
        dof = "".join(
            f'<joint name="{n}" type="slide" axis="{a}"/>'
            for n, a in (("x", "1 0 0"), ("y", "0 1 0"), ("z", "0 0 1"))
        )
        spring = f'stiffness="{rear[0]:.15g}" springref="{rear[1]:.15g}"'
        turns = "".join(
            f'<joint name="{n}" type="hinge" axis="{a}" {spring if n == "roll" else ""}/>'
            for n, a in (("yaw", "0 0 1"), ("roll", "1 0 0"), ("pitch", "0 1 0"))
        )
        mass = '<inertial pos="0 0 0" mass="1" diaginertia="1 1 1"/>'
        xml = f"""<mujoco><compiler angle="radian"/><option gravity="0 0 0"/><worldbody>{world}
        <body name="base" pos="{_vec(center)}">{mass}{dof}{turns}{sites}{arms}</body>
        </worldbody>{f"<tendon>{tendons}</tendon>" if tendons else ""}</mujoco>"""
        self.m = mujoco.MjModel.from_xml_string(xml)
        self.d = mujoco.MjData(self.m)
        self.state = np.zeros(self.m.nq)
        self.held = [] if free else [2, 4]
        self.loose = [i for i in range(self.m.nv) if i not in self.held]

    @staticmethod
    def _body(name: str, at: A, k: A, far: A, hang: A | None) -> str:
        slides = "".join(
            f'<joint type="slide" axis="{a}" stiffness="{r:.15g}"/>'
            for a, r in (("1 0 0", k[0]), ("0 1 0", k[1]), ("0 0 1", k[0]))
        )
        hinges = "".join(
            f'<joint type="hinge" axis="{a}" stiffness="{r:.15g}"/>'
            for a, r in (("0 1 0", k[2]), ("1 0 0", k[3]), ("0 0 1", k[3]))
        )
        more = "" if hang is None else f'<site name="{name}.hang" pos="{_vec(hang)}"/>'
        return (
            f'<body name="{name}" pos="{_vec(at)}"><inertial pos="0 0 0" mass="1" diaginertia="1 1'
            f' 1"/>{slides}{hinges}<site name="{name}.far" pos="{_vec(far)}"/>{more}</body>'
        )

    def site(self, name: str) -> int:
        return mujoco.mj_name2id(self.m, mujoco.mjtObj.mjOBJ_SITE, name)

    def look(self, q: A) -> tuple[A, A, A, A]:
        """Spring force, loop residuals, their Jacobian, and extra force (set-down) at ``q``."""
        self.d.qpos[:] = q
        mujoco.mj_kinematics(self.m, self.d)
        mujoco.mj_comPos(self.m, self.d)
        mujoco.mj_tendon(self.m, self.d)
        mujoco.mj_passive(self.m, self.d)
        rows: list[A] = []
        jac: list[A] = []

        def jac_of(name: str) -> A:
            j = np.zeros((3, self.m.nv))
            mujoco.mj_jacSite(self.m, self.d, j, None, self.site(name))
            return j

        def pos(name: str) -> A:
            return self.d.site_xpos[self.site(name)].copy()

        for s, n in enumerate("LR"):
            rows.append(pos(f"arm{n}.far") - self.joint[s])
            jac.append(jac_of(f"arm{n}.far"))
            rows.append(pos(f"up{n}.far") - pos(f"arm{n}.hang"))
            jac.append(jac_of(f"up{n}.far") - jac_of(f"arm{n}.hang"))
        span = pos("bar") - self.bar[1]
        rows.append(np.array(((span @ span - self.long**2) / (2 * self.long),)))
        jac.append((span @ jac_of("bar") / self.long)[None])
        return self.d.qfrc_spring.copy(), np.concatenate(rows), np.vstack(jac), self.extra()

    def extra(self) -> A:
        """Applied generalised force: the front's weight, lifted by the ground."""
        f = np.zeros(self.m.nv)
        f[2] = self.load
        for force, at in self.pushes:
            mujoco.mj_applyFT(
                self.m,
                self.d,
                force,
                np.zeros(3),
                self.d.xpos[1] + self.d.xmat[1].reshape(3, 3) @ at,
                1,
                f,
            )
        return f

    def settle(self, start: A, tight: float = 1e-9, steps: int = 80) -> A:
        """Rest under springs, loops and applied forces, heave and roll held unless free."""
        q = start.copy()
        f, r, j, x = self.look(q)
        lam = np.zeros(len(r))
        n = len(self.loose)
        for _ in range(steps):
            g = -(f + x) + j.T @ lam
            h = np.empty((self.m.nv, n))
            for c, i in enumerate(self.loose):
                e = np.zeros(self.m.nv)
                e[i] = 1e-5 if i in (0, 1, 2) else 1e-7
                up, down = (self.look(q + w * e) for w in (1, -1))
                h[:, c] = (
                    (-(up[0] + up[3]) + up[2].T @ lam) - (-(down[0] + down[3]) + down[2].T @ lam)
                ) / (2 * e[i])
            k = np.block(
                [
                    [h[self.loose], j[:, self.loose].T],
                    [j[:, self.loose], np.zeros((len(r), len(r)))],
                ]
            )
            dx = np.linalg.solve(k, -np.concatenate((g[self.loose], r)))
            step = min(
                1.0, 0.2 / max(np.abs(dx[3:n]).max(), 1e-30), 60 / max(np.abs(dx[:3]).max(), 1e-30)
            )
            q[self.loose] += step * dx[:n]
            lam = lam + dx[n:]
            f, r, j, x = self.look(q)
            if np.abs(dx[:n]).max() < tight:
                self.pull = lam
                return q
        raise AssertionError("the rig does not settle")

    def at(self, heave: float, roll: float) -> A:
        """Axle coordinates x, y, z shift (mm), yaw, roll, pitch (rad) at a heave and roll, reached
        in small steps.
        """
        q = np.zeros(self.m.nq)
        for part in np.linspace(0, 1, max(2, 1 + int(abs(heave) / 25 + abs(roll) / 0.02)))[1:]:
            q[2], q[4] = heave * part, roll * part
            q = self.settle(q, 1e-6 if part < 1 else 1e-9)
        self.state = q
        return q[:6]
