"""Which figures a report holds, by the name under which its pages call for them, each painted as SVG."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from slabwright.figures.design import deflection_reductions, lives, of_section, ranges, swings
from slabwright.figures.layer_tables import strip_layers
from slabwright.figures.layers import Layer
from slabwright.figures.loading import accumulated_axles, axles_by_year
from slabwright.figures.mechanistic import bond_ages, bond_map, fatigue_lives
from slabwright.figures.record import Figure
from slabwright.figures.road import Road, road_of
from slabwright.figures.sectioning import cumulative_differences
from slabwright.figures.strip import PRINTED, plan_figure, row_figure
from slabwright.report.given import Report

__all__ = ["drawings", "road_strip", "sections_in_pages"]

IN_A_PAGE = 12  # small curves on one page
STRIP = 8.15  # inches, with its margins
PLAN, ROW = 1.6, 1.0  # heights on the strip, by which it is shared out


def sections_in_pages(names: Sequence[str]) -> list[list[str]]:
    """The names of designed sections in lots that one drawing can hold."""
    return [list(names[i : i + IN_A_PAGE]) for i in range(0, len(names), IN_A_PAGE)]


def road_strip(road: Road, layers: Sequence[Layer], direction: str) -> list[Figure]:
    """The plan of one direction and the layers that are printed beneath it."""
    here, window = road.only(direction), (road.begin, road.end)
    lanes, known = [lane.name for lane in here.lanes], {layer.name: layer for layer in layers}
    rows = [known[name].only(lanes, direction) for name in PRINTED if name in known]
    return [plan_figure(here, window), *(row_figure(layer, here, window) for layer in rows)]


def drawings(
    report: Report, designed: Sequence[str], worst: Sequence[str], lived: Sequence[str], bonded: str
) -> dict[str, Callable[[], str]]:
    """A painter of every drawing as SVG by its name.

    ``designed`` sections have curves, ``worst`` the bars of what the thickness depends on, ``lived`` fatigue lives, and
    ``bonded`` is the section whose slab is mapped, "" for none.
    """
    from slabwright.report import paint  # heavy, so only when something is painted

    results, decisions, system = report.results, report.decisions, report.system
    made: dict[str, Callable[[], str]] = {}
    road = road_of(report.road, results)
    layers = strip_layers(report.road, results, decisions, system)
    for i, direction in enumerate(report.directions):
        figures = road_strip(road, layers, direction)
        made[f"strip_{i}"] = partial(paint.stack, figures, system, _shares(len(figures)))
    made["differences"] = partial(
        paint.grid, [cumulative_differences(results, d) for d in report.directions], system, 1, 2.1
    )
    if len(report.table("evaluation", "traffic")):
        made["traffic"] = partial(
            paint.beside, [f(results, decisions) for f in (axles_by_year, accumulated_axles)], system, 2.8
        )
    for i, names in enumerate(sections_in_pages(designed)):
        made[f"lives_{i}"] = partial(paint.grid, [lives(results, decisions, name) for name in names], system)
        made[f"falls_{i}"] = partial(paint.grid, [deflection_reductions(results, name) for name in names], system)
    if worst:
        made["tornado"] = partial(
            paint.beside, [swings(results, name, _ranges(report, name)) for name in worst], system, 3.2
        )
    if bonded:
        made["bond_ages"] = partial(paint.beside, [bond_ages(results, bonded)], system, 3.2)
        made["bond_map"] = partial(paint.beside, [bond_map(results, bonded, "all together")], system, 3.4)
    for i, names in enumerate(sections_in_pages(lived)):
        made[f"fatigue_lives_{i}"] = partial(paint.grid, [fatigue_lives(results, name) for name in names], system)
    return made


def _shares(number: int) -> list[float]:
    """Heights of the rows of a strip, in inches."""
    room = STRIP - 0.55 - 0.24 * number
    return [room * part / (PLAN + ROW * (number - 1)) for part in (PLAN, *[ROW] * (number - 1))]


def _ranges(report: Report, section: str) -> list[str]:
    return ranges(of_section(report.results, "design", "sensitivities", section), report.system)
