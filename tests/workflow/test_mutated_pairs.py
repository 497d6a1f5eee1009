"""Mutated pairs of files: each contradiction is found, or changes nothing. 60 pairs here; SLABWRIGHT_PAIRS=2000 for more."""

from __future__ import annotations

import os
import random

import pytest

from tests.workflow.mutated import KINDS, Road, draw

COUNT = int(os.environ.get("SLABWRIGHT_PAIRS", "60"))


def test_every_mutated_pair_is_found_or_changes_nothing(tmp_path_factory: pytest.TempPathFactory) -> None:
    road, chance = Road(tmp_path_factory.mktemp("field")), random.Random(20261127)
    verdicts: dict[str, dict[str, int]] = {kind: {} for kind in KINDS}
    silent = []
    for number in range(COUNT):
        pair = draw(road, chance)
        said = road.verdict(pair)
        verdicts[pair.kind][said] = verdicts[pair.kind].get(said, 0) + 1
        if said not in ("found", "unchanged"):
            silent.append(f"pair {number}, {pair.kind}: {said}\n{pair.content[:400]}")
    print(verdicts)
    assert not silent, "\n".join(silent[:5])
    found = sum(v.get("found", 0) for v in verdicts.values())
    assert found >= 0.8 * COUNT  # a check that finds nothing would pass by changing nothing
