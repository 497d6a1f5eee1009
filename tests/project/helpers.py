"""A clock, files and small tables for the tests of the project file."""

import itertools
from datetime import UTC, datetime, timedelta

import pandas as pd

from slabwright.project import LoadedFile
from slabwright.records.facts import FACTS
from slabwright.records.table import table

BEGIN = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


def ticking():
    moments = (BEGIN + timedelta(seconds=n) for n in itertools.count())
    return lambda: next(moments)


def file(name: str) -> LoadedFile:
    """A file whose bytes are told apart by its name."""
    return LoadedFile(name, f"sha-of-{name}", 100)


def counts(*years: float) -> pd.DataFrame:
    return table(FACTS["counts"], {"year": years, "daily_traffic": [1000.0] * len(years)})


def load_counts(project, name: str, *years: float, **more) -> int:
    frame = counts(*years)
    return project.load([("counts", frame, range(2, 2 + len(frame)))], file=file(name), **more)
