"""What decisions were called and how they were written in earlier versions, so that every file ever saved opens.

A decision that is renamed or moved gets a line in ``OLD_NAMES``; one whose words or meaning change gets a line in
``OLD_WORDS``; one that is gone for good gets a line in ``GONE`` with the reason.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from slabwright.errors import InputError

__all__ = ["GONE", "OLD_NAMES", "OLD_WORDS", "check_once", "present", "present_name"]

# A whole group ("overlay.") or one decision, and what it was called next; a name may be renamed again.
OLD_NAMES: dict[str, str] = {
    "overlay.": "design.",
    "survey.section_borders": "survey.section_boundaries",
    "bond.slab_length": "plate.slab_length",
    "bond.unmeasured_transfer": "plate.unmeasured_transfer",
    "repair.saw_cost": "economics.saw_cost",
    "repair.full_depth_cost": "economics.full_depth_cost",
    "repair.partial_depth_cost": "economics.partial_depth_cost",
    "repair.partial_removal_cost": "economics.partial_removal_cost",
    "repair.crack_cost": "economics.crack_cost",
    "repair.void_cost": "economics.void_cost",
    "repair.load_transfer_cost": "economics.load_transfer_cost",
    "design.concrete_cost": "economics.concrete_cost",
    "design.surface_cost": "economics.surface_cost",
    "life.overlay_strength": "design.overlay_strength",
}

# Decisions (by their present name) whose choices were worded otherwise.
OLD_WORDS: dict[str, dict[str, str]] = {}

# Numbers keep their meaning, in SI, in every file: prices stay per m, m2 and m3 whatever the units in which they are shown.
# ``design.round_to`` was 0.5 in by default and is 0, the usual step of the road's units; a saved half inch stays one.
# ``evaluation.unrepaired`` of 0 said that none is left and says now that the marking of repairs is counted; a number stays one.

# Decisions that no method reads any more, and why.
GONE: dict[str, str] = {
    "life.tests_behind_mean": "each section and input counts its own tests",
    "bond.creep_coefficient": "creep follows age, size and humidity by the model of ``bond.model``",
}


def present_name(name: str) -> str:
    """What a decision of that name is called now."""
    return _names_since(name)[-1]


def _names_since(name: str) -> list[str]:
    """The name and all that the decision was called after it, the present name last."""
    group, dot, rest = name.partition(".")
    after = OLD_NAMES.get(name) or OLD_NAMES.get(group + dot, group + dot) + rest
    return [name] if after == name else [name, *_names_since(after)]


def check_once(names: Iterable[str]) -> None:
    """Raise InputError where two of the names mean one decision."""
    given: dict[str, str] = {}
    for name in names:
        now = present_name(name)
        if given.setdefault(now, name) != name:
            raise InputError(
                f"{now} is given twice, under its present and an old name",
                given=f"{given[now]}, {name}",
                remedy="Give it once.",
            )


def present(plain: Mapping[str, Any]) -> dict[str, Any]:
    """Decisions saved by any version as this version names and words them; a later name wins over an earlier one."""
    found: dict[str, Any] = {}
    for name, value in sorted(plain.items(), key=lambda item: -len(_names_since(item[0]))):
        now = present_name(name)
        if name not in GONE:
            found[now] = OLD_WORDS.get(now, {}).get(value, value) if isinstance(value, str) else value
    return found
