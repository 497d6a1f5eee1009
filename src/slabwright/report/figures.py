"""The dress of all drawings: colours that survive colour blindness and a grey printer, and the way to SVG.

A colour never stands alone: verdicts are hatched, lines are dashed and marked. No state of matplotlib is kept:
each drawing is a ``Figure`` of its own, and words are left as text, which the typesetter sets in the report's face.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, MultipleLocator

from slabwright import units
from slabwright.calculation import Array
from slabwright.evaluation.suitability import NOT_JUDGED, NOT_SUITED, SUITED, SUITED_AFTER_REPAIR

if TYPE_CHECKING:
    from matplotlib.axes import Axes

__all__ = [
    "INK",
    "LINES",
    "SOFT",
    "VERDICTS",
    "Line",
    "Look",
    "drawing",
    "margins",
    "spread",
    "station_axis",
    "svg",
    "titled",
    "unit",
]

INK, SOFT, PALE = "#1b2530", "#5b6672", "#c9d0d6"
BLUE, OCHRE, BRICK, TEAL, PLUM = "#23517a", "#d39b2a", "#8a2f3b", "#3d8f86", "#7a5a8c"
WIDTH = 7.0  # inches: the text width of letter paper
SETTINGS: Any = {
    "svg.hashsalt": "slabwright", "svg.fonttype": "none", "font.family": ["DejaVu Sans"], "font.size": 8, "axes.linewidth": 0.6,
    "axes.edgecolor": SOFT, "axes.labelcolor": INK, "text.color": INK, "xtick.color": SOFT, "ytick.color": SOFT,
    "xtick.labelsize": 7.5, "ytick.labelsize": 7.5, "axes.labelsize": 8, "hatch.linewidth": 0.6, "legend.fontsize": 7.5,
    "legend.frameon": False, "axes.spines.top": False, "axes.spines.right": False, "text.parse_math": False,
    "axes.titlesize": 8.5, "axes.titley": 1.0, "lines.linewidth": 1.1, "lines.markersize": 3.2, "axes.unicode_minus": True,
}  # fmt: skip


@dataclass(frozen=True)
class Look:
    """Fill and hatch of an area."""

    fill: str
    hatch: str


@dataclass(frozen=True)
class Line:
    """Colour, dash and marker of a line."""

    color: str
    linestyle: str
    marker: str


VERDICTS: dict[str, Look] = {
    SUITED: Look("#dbe8f1", ""),
    SUITED_AFTER_REPAIR: Look("#f1dfb4", "///"),
    NOT_SUITED: Look("#b4606b", "xxx"),
    NOT_JUDGED: Look("#e3e6e9", "..."),
}
LINES = (
    Line(BLUE, "-", "o"), Line(OCHRE, "--", "s"), Line(TEAL, "-.", "^"), Line(BRICK, ":", "D"), Line(PLUM, "-", "v"),
)  # fmt: skip


@contextmanager
def drawing(height: float) -> Iterator[Figure]:
    """A blank drawing of the text width and of ``height`` inches in the report's dress."""
    with matplotlib.rc_context(SETTINGS):
        yield Figure(figsize=(WIDTH, height))


def svg(draw: Callable[[Figure], None], height: float) -> str:
    """The drawing that ``draw`` makes as SVG text, the same for the same data."""
    with drawing(height) as figure:
        draw(figure)
        out = io.StringIO()
        figure.savefig(out, format="svg", metadata={"Date": None, "Creator": None})
    return out.getvalue().replace("DejaVu Sans", "Libertinus Serif")


def margins(
    figure: Figure, *, left: float = 0.5, right: float = 0.1, top: float = 0.25, bottom: float = 0.4,
    between: float = 0.35, beside: float = 0.45,
) -> None:  # fmt: skip
    """Fixed margins around and between the panels, in inches: a layout engine would cost more than all the drawing."""
    width, height = figure.get_size_inches()
    grid = figure.axes[0].get_subplotspec().get_gridspec()  # type: ignore[union-attr]
    rows, columns = grid.nrows, grid.ncols
    high = (height - top - bottom - between * (rows - 1)) / rows
    wide = (width - left - right - beside * (columns - 1)) / columns
    figure.subplots_adjust(
        left=left / width, right=1 - right / width, top=1 - top / height, bottom=bottom / height,
        hspace=between / high, wspace=beside / wide,
    )  # fmt: skip


def unit(kind: str, system: units.System) -> str:
    """The unit of a kind in brackets, or nothing."""
    name = units.label(units.unit_of(kind, system))
    return f" [{name}]" if name else ""


def titled(axes: Axes, words: str) -> None:
    """The name of a panel above its left end."""
    axes.set_title(words, loc="left", pad=3, color=INK)


def station_axis(axes: Axes, limits: tuple[float, float], system: units.System) -> None:
    """Stations along the lower edge, at round numbers."""
    base = units.FOOT * 100 if system == "us" else 100.0
    step = next(m for m in _steps() if (limits[1] - limits[0]) / (base * m) <= 9)
    axes.set_xlim(limits)
    axes.xaxis.set_major_locator(MultipleLocator(base * step))
    axes.xaxis.set_major_formatter(FuncFormatter(lambda x, _: units.format_station(x, system).removesuffix(".0")))


def _steps() -> Iterator[int]:
    size = 1
    while True:
        yield from (size, 2 * size, 5 * size)
        size *= 10


def spread(values: Iterable[float]) -> tuple[float, float]:
    """Limits from zero to a little over the greatest finite value."""
    finite: Array = np.array([v for v in values if np.isfinite(v)])
    return 0.0, float(finite.max()) * 1.12 if finite.size and finite.max() > 0 else 1.0
