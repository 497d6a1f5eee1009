"""Samples of field files to download: the first rows of the files of the demo road, which is invented."""

from __future__ import annotations

from functools import cache

from nicegui import run, ui

from slabwright.demo.field_files import SEED, field_files
from slabwright.web.parts.html import act

__all__ = ["SAMPLES", "sample", "sample_press"]

ROWS = 12  # of a text file, with its headings; enough to see the form

# The table that a file fills, and the file of the demo road that shows its form.
SAMPLES = {
    "road": "road.csv",
    "lanes": "lanes.csv",
    "layers": "layers.csv",
    "deflections": "deflections_northbound.csv",
    "distresses": "distress_northbound.csv",
    "cores": "cores.xlsx",
    "counts": "traffic_counts.csv",
    "truck_classes": "truck_classes.csv",
    "axles": "axle_spectrum.csv",
    "bridges": "bridges.csv",
    "ramps": "ramps.csv",
}


@cache
def _files() -> dict[str, bytes]:
    return field_files(SEED)


def sample(table: str) -> tuple[str, bytes]:
    """(file name, content) of a sample for a table; a workbook comes whole. Raises KeyError for a table without one."""
    name = SAMPLES[table]
    content = _files()[name]
    if name.endswith(".csv"):
        content = b"".join(content.splitlines(keepends=True)[:ROWS])
    return f"sample_{name}", content


def sample_press(table: str, title: str) -> None:
    """A press that downloads the sample for a table."""

    async def give() -> None:
        made = await run.io_bound(sample, table)
        if made:  # None while the server stops
            ui.download(made[1], made[0])

    act("Sample", give, cls="slim", aria_label=f"Download a sample for {title}")
