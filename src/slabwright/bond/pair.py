"""Overlay and old slab as a pair of layers that creep: the force between them and the overlay's own stress, marched in time.

Let A1 and A2 be the integrals of the layers' compliances, strain(t) = integral of J(t, t') d stress(t'). The overlay's
tension N presses the slab (resultants are zero at every section, no outer force), which leaves a couple N a, a = (h1 + h2) / 2,
for the two layers to carry, M1 + M2 = N a, with one curvature between them:

    shrinkage = A1 N / h1 + A2 N / h2 + a kappa,     kappa = (12 / h1^3) A1 M1 = (12 / h2^3) A2 M2.

Held flat kappa is zero. With constant moduli this is Timoshenko's bimetal strip (1925) and Suhir's compliance (1986), both
from memory: kappa = N a / D and a strain of N [1 / (E1 h1) + 1 / (E2 h2) + (h1 + h2)^2 / (4 D)]. Per unit width, one way; the
same both ways at once is this over 1 less Poisson's ratio in every stress, the ratio being one for both.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slabwright.calculation import Array
from slabwright.materials.ageing_stress import Kernel
from slabwright.materials.terms import DAY, YEAR

__all__ = ["FLAT", "CURLED", "Pair", "marched_pair", "old_concrete"]

CURLED, FLAT = "free to curl", "held flat"
SUSTAINED = 20 * YEAR  # to which the old slab's creep coefficient belongs
SLOW, POWER = 1500 * DAY, 0.3  # EN 1992-1-1, Annex B: creep over time in wet concrete, from memory


@dataclass(frozen=True)
class Pair:
    """Of the overlay at each time (n,): its force [N/m] and its stress at the top and at the bottom [Pa], tension positive."""

    force: Array
    top: Array
    bottom: Array


def old_concrete(modulus: float, creep: float) -> Kernel:
    """J(t, t') [1/Pa] of the old slab: it ages no more; ``creep`` is its coefficient after 20 years of one stress [1].

    Raises nothing. Source: EN 1992-1-1, Annex B (its course in time), from memory.
    """

    def grown(under: Array) -> Array:
        return np.asarray((under / (SLOW + under)) ** POWER)

    def compliance(age: Array, loading: Array) -> Array:
        under = np.maximum(np.asarray(age) - np.asarray(loading), 0.0)
        return np.asarray((1 + creep * grown(under) / grown(np.asarray(SUSTAINED))) / modulus)

    return compliance


def marched_pair(
    times: Array, free: Array, overlay: float, slab: float, kernels: tuple[Kernel, Kernel], support: str
) -> Pair:
    """Force and stress of the overlay under free shortening (n,) [1] at times (n,) [s]; thicknesses [m].

    ``kernels``: J(t, t') [1/Pa] of overlay and slab. Every step's stress is put on in the middle of its step, as in
    ``restrained_stress``. Raises nothing.
    """
    loading = np.concatenate([times[:1], (times[1:] + times[:-1]) / 2])
    upper, lower = (_summed(times, loading, kernel) for kernel in kernels)
    bending_1, bending_2 = 12 / overlay**3 * upper, 12 / slab**3 * lower
    arm = (overlay + slab) / 2
    taken = upper / overlay + lower / slab
    couple = np.zeros_like(taken)  # overlay's moment for each step of force
    if support == CURLED:
        couple = np.asarray(arm * np.linalg.solve(bending_1 + bending_2, bending_2), dtype=np.float64)
        taken = taken + arm * bending_1 @ couple
    steps = np.linalg.solve(taken, free)
    force, moment = np.cumsum(steps), np.cumsum(couple @ steps)
    bent = 6 * moment / overlay**2
    return Pair(force, force / overlay - bent, force / overlay + bent)


def _summed(times: Array, loading: Array, kernel: Kernel) -> Array:
    """The integral as a matrix (n, n): strain at a time for each step of stress before it."""
    found = np.zeros((len(times), len(times)))
    for r, age in enumerate(times):
        found[r, : r + 1] = kernel(age, loading[: r + 1])
    return found
