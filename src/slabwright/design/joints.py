"""Saw depth of overlay joints, and the texture and bond values that the specification asks for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Array, Quantity, calculation
from slabwright.records.remarks import Remark, remark
from slabwright.units import INCH

__all__ = ["SPECIFICATION", "SawDepth", "SpecificationItem", "saw_depth"]


@dataclass(frozen=True)
class SawDepth:
    """Saw depths of a bonded overlay."""

    transverse: Annotated[Array, Quantity("thickness", "transverse saw depth")]
    longitudinal: Annotated[Array, Quantity("thickness", "longitudinal saw depth, at least")]


@calculation(source="saw_depth_guide", equation="transverse = t + 0.5 in; longitudinal = t / 2")
def saw_depth(
    thickness: Annotated[Array, Quantity("thickness", "overlay thickness", 0.5 * INCH, 12 * INCH, "t")],
) -> SawDepth:
    """Saw depth of a concrete overlay bonded to concrete.

    Joints stand over those of the old slab. [m]
    """
    return SawDepth(thickness + 0.5 * INCH, thickness / 2 + 0 * thickness)


@dataclass(frozen=True)
class SpecificationItem:
    """One value that the specification states, with its source and tag."""

    item: str
    value: str | Remark
    source: str
    tag: str


SPECIFICATION = (
    SpecificationItem(
        "Joints",
        remark(
            "Overlay joints stand over every joint of the old slab within {reach}; no new transverse joint elsewhere.",
            reach=("thickness", 1 * INCH),
        ),
        "UFGS-02753 and UFGS-03931 joint text; AASHTO 1993 Part III section 5.8",
        "looked up",
    ),
    SpecificationItem(
        "Joint steel",
        "No dowels or other steel across the transverse joints of the overlay.",
        "AASHTO 1993 Part III section 5.8",
        "from memory",
    ),
    SpecificationItem(
        "Sawing time",
        "Saw as soon as the cut does not ravel, day and night, in the order of placing; late sawing debonds joints.",
        "UFGS joint text; AASHTO 1993 Part III section 5.8",
        "looked up",
    ),
    SpecificationItem(
        "Surface before placing",
        "Clean, dry or saturated surface-dry, free of dust, oil, paint and membrane; no traffic after preparation.",
        "Common practice, no source",
        "common practice",
    ),
    SpecificationItem(
        "Milling",
        "Where milled, follow with shot or water blasting: milling bruises the surface and pull-off tests then fail just below it.",
        "Field evidence on an interstate bridge overlay, 13 pull-off sites",
        "looked up",
    ),
    SpecificationItem(
        "Curing",
        "Curing compound at twice the usual rate, at once after texturing: thin overlays dry quickly.",
        "Common practice, no source",
        "common practice",
    ),
)
