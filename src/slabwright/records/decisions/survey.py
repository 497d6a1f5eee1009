"""Decisions on how the survey is reduced and cut into sections."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from slabwright.calculation import Choice, Quantity, Stations
from slabwright.units import FOOT, KIP, LBF

__all__ = ["SurveyDecisions"]


@dataclass(frozen=True)
class SurveyDecisions:
    """How field data are reduced and the road is cut into sections."""

    standard_load: Annotated[float, Quantity("force", "load that deflections are normalised to", 2 * KIP, 40 * KIP)] = (
        9000 * LBF
    )
    bending_factor: Annotated[
        float, Quantity("number", "slab bending correction of load transfer; 0 takes it from the basins", 0, 1.5)
    ] = 0.0
    section_method: Annotated[
        str, Choice("how boundaries are found", ("cumulative difference", "optimal change points"))
    ] = "cumulative difference"
    shortest_section: Annotated[float, Quantity("length", "shortest section", 30.0, 5000.0)] = 400 * FOOT
    section_boundaries: Annotated[
        str, Stations("section boundaries set by hand, as stations separated by semicolons; empty finds them")
    ] = ""
    design_percentile: Annotated[
        float, Quantity("share", "percentile of a section that design uses for deflection", 0.5, 0.99)
    ] = 0.85
