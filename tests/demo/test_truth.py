"""The stated truth is a whole road and agrees with itself."""

import numpy as np
import pytest

from slabwright.demo.truth import TRUTH
from slabwright.units import FOOT, INCH


def test_stretches_join_without_gap_from_end_to_end():
    assert [s.begin for s in TRUTH.stretches[1:]] == [s.end for s in TRUTH.stretches[:-1]] == list(TRUTH.boundaries)
    assert (TRUTH.begin / FOOT, TRUTH.end / FOOT) == (pytest.approx(10_000), pytest.approx(20_600))


def test_a_boundary_belongs_to_the_stretch_that_begins_there():
    boundary = TRUTH.boundaries[0]
    assert list(TRUTH.index_at([boundary - 0.1, boundary, TRUTH.end])) == [0, 1, 4]


def test_bending_factor_lies_where_practice_finds_it():
    # Typically 1.05-1.15 (from memory); a stiff slab on a weak foundation has the smaller one.
    factors = np.array([TRUTH.bending_factor(s) for s in TRUTH.stretches])
    assert np.all((factors > 1.03) & (factors < 1.15))
    assert factors[1] == factors.min()


def test_stiffness_of_the_sound_stretch():
    # l^4 = 4.6e6 x 729 / (12 x 0.9775 x 300) = 952,941 in^4, l = 31.244 in by hand.
    assert TRUTH.stretches[0].relative_stiffness / INCH == pytest.approx(952_941**0.25, abs=1e-3)
