"""Loading of the federal bonded-overlay experiment up to the overlay and since, section by section.

    python federal_traffic.py FOLDER [STATE...]

FOLDER holds the four federal files as they were extracted (events, ride runs, traffic by year, climate by year), of any
states and under any names: each is known by its headings. STATE are codes, by default every state with an overlay date.
They are read through intake; rows whose equivalent axles per truck cannot be are named with file and row. Yearly
loading repeats for each construction number, so one is used throughout: the first of each section, whose years
run unbroken. The year of the overlay is shared out by days. A section without a recorded concrete overlay (the
control, and one that got asphalt) has its whole loading in the first column.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pandas as pd

from slabwright.errors import InputError, SlabwrightError
from slabwright.intake import Reading, read, resolve

TABLES = ("events", "ride_runs", "loadings", "climate")
PLACE = ["state_code", "section"]
OVERLAY = "Portland Cement Concrete Overlay"
IMPOSSIBLE = "equivalent axles per truck"


def load(folder: Path) -> dict[str, Reading]:
    """The four files as readings, by table; InputError where one is missing, or where two files hold one table."""
    if not folder.is_dir():
        raise InputError("there is no such folder", where=str(folder))
    readings: dict[str, Reading] = {}
    for path in sorted(folder.glob("*.csv")):
        for reading in _read(path):
            if reading.table in readings:
                raise InputError(
                    "two files hold one table",
                    where=path.name,
                    given=f"{reading.table}, as in {readings[reading.table].file}",
                )
            readings[reading.table] = reading
    if missing := [table for table in TABLES if table not in readings]:
        raise InputError("the folder lacks a file", where=str(folder), given="no " + ", no ".join(missing))
    return readings


def _read(path: Path) -> list[Reading]:
    """What a file holds of the four tables; other files may lie in the folder, some with a few headings of one of them."""
    try:
        found = [reading for reading in read(path) if reading.table in TABLES]
    except InputError as problem:
        print(f"not used: {problem.where}: {problem.what}", file=sys.stderr)
        return []
    known = [reading for reading in found if 2 * len(reading.unmapped) < len(reading.mapping)]
    for other in (reading for reading in found if reading not in known):
        print(f"not used: {other.file}: most of its headings are not those of {other.table}", file=sys.stderr)
    return known


def overlay_dates(events: pd.DataFrame) -> pd.Series:
    """Day of the first concrete overlay of each section, indexed by state and section."""
    overlaid = events[events["events"].str.contains(OVERLAY, regex=False)]
    return pd.to_datetime(overlaid.groupby(PLACE)["event_date"].min())


def one_construction_number(loadings: pd.DataFrame) -> pd.DataFrame:
    """The rows of the first construction number of each section; InputError if these do not cover every year."""
    first = loadings[loadings["construction_no"] == loadings.groupby(PLACE)["construction_no"].transform("min")]
    if len(first) != len(loadings.drop_duplicates([*PLACE, "year"])):
        raise InputError("no single construction number covers all years", remedy="Choose the numbers by hand.")
    return first


def loading(readings: dict[str, Reading], states: tuple[str, ...] = ()) -> pd.DataFrame:
    """For each section of the states: overlay day, years and millions of ESAL before and since, ride visits, freezing."""
    facts = {table: resolve(reading, accept=True).frame for table, reading in readings.items()}
    years = one_construction_number(facts["loadings"])
    day = overlay_dates(facts["events"])
    wanted = states or tuple(day.index.get_level_values("state_code").unique())
    years = years[years["state_code"].isin(wanted)]
    if years.empty:
        raise InputError(
            "no loading of these states", given=", ".join(wanted), allowed=", ".join(_states(facts["loadings"]))
        )
    rows = []
    for place, section in years.groupby(PLACE):
        overlay = day.get(place)
        start = pd.to_datetime(section["year"].astype(int).astype(str) + "-01-01")
        length = (start + pd.DateOffset(years=1) - start).dt.days
        before = 1.0 if overlay is None else ((overlay - start).dt.days / length).clip(0, 1)
        ride, frost = (facts[t][(facts[t][PLACE] == list(place)).all(axis=1)] for t in ("ride_runs", "climate"))
        rows.append((
            *place,
            "none" if overlay is None else overlay.date().isoformat(),
            int(section["year"].min()),
            int(section["year"].max()),
            (section["annual_esal"] * before).sum() / 1e6,
            (section["annual_esal"] * (1 - before)).sum() / 1e6,
            ride["visit_date"].nunique(),
            frost["freezing_index"].mean(),
        ))
    names = ["state", "section", "overlay", "from", "to", "before", "since", "ride_visits", "freezing_index"]
    return pd.DataFrame(rows, columns=names)


def _states(loadings: pd.DataFrame) -> list[str]:
    return sorted(loadings["state_code"].unique())


def impossible_rows(reading: Reading) -> list[str]:
    """Each impossible row, named with file and row, once."""
    columns = ["state_code", "section", "construction_no", "year", "esal_per_truck"]
    found: dict[int, None] = {}
    for finding, cells in zip(reading.findings, reading.suspicious, strict=True):
        if finding.rule == IMPOSSIBLE and "annual_esal" in cells.columns:
            found |= dict.fromkeys(cells.rows.tolist())
    lines = []
    for row in sorted(found):
        state, section, number, year, ratio = reading.frame.loc[row, columns]
        lines.append(
            f"{reading.file}, row {reading.source_rows[row]}: state {state}, section {section}, "
            f"construction {number:.0f}, {year:.0f}: {ratio:.3f} ESAL per truck"
        )
    return lines


def main(arguments: list[str]) -> int:
    """Print the loading and what cannot be; 2 where the arguments or files are wrong."""
    if not arguments:
        print("usage: python federal_traffic.py FOLDER [STATE...]", file=sys.stderr)
        return 2
    try:
        readings = load(Path(arguments[0]))
        table = loading(readings, tuple(arguments[1:]))
    except SlabwrightError as problem:
        print(problem, file=sys.stderr)
        return problem.exit_code
    print("Millions of equivalent 18-kip axles in the study lane, as recorded (one construction number)")
    print(
        table.to_string(
            index=False,
            formatters={"before": "{:.2f}".format, "since": "{:.2f}".format, "freezing_index": "{:.0f}".format},
        )
    )
    lines = impossible_rows(readings["loadings"])
    print(f"\n{len(lines)} rows with an impossible loading per truck (not left out of the sums above):")
    print("\n".join(lines))
    repeated = sum(
        len(c.rows)
        for f, c in zip(readings["loadings"].findings, readings["loadings"].suspicious, strict=True)
        if f.rule == "repeated construction number"
    )
    print(f"\n{repeated} rows repeat a year under a later construction number and were not added up.")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
