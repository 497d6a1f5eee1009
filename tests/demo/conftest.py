"""The field files of the demo road, read back with plain pandas and nothing of ours."""

from types import SimpleNamespace

import pandas as pd
import pytest

from slabwright.demo.field_files import write

FEET_COLUMNS = ("Station", "Stationing", "Location")


def feet(station: pd.Series) -> pd.Series:
    """``123+45.6`` as 12,345.6 ft."""
    parts = station.str.extract(r"^(\d+)\+(\d\d\.\d)$").astype(float)
    return parts[0] * 100 + parts[1]


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("demo")
    write(place)
    return place


def _drops(frame: pd.DataFrame, load: str, sensor: str, offset: str, mil: float, lbf: float) -> pd.DataFrame:
    """One row a drop in lbf, mil and in, whichever crew wrote it."""
    frame = frame.rename(
        columns={
            "Stationing": "Station",
            "Position": "Test Location",
            "Test no": "Point ID",
            "Test date": "Test Date",
            "Drop number": "Drop No",
        }
    )
    made = frame[["Point ID", "Test Location", "Test Date", "Drop No"]].set_axis(
        ["point", "position", "date", "drop"], axis=1
    )
    made["feet"], made["load"] = feet(frame["Station"]), frame[load] / lbf
    for i in range(1, 9):
        made[f"d{i}"] = frame[sensor.format(i)] / mil
    return made


@pytest.fixture(scope="session")
def road(folder):
    """All files as plain tables; ``drops`` holds both directions in one dress, the repeated rows left out."""
    tables = {path.stem: pd.read_csv(path) for path in folder.glob("*.csv")}
    tables["cores"] = pd.read_excel(folder / "cores.xlsx", engine="calamine", header=2)
    north = _drops(tables["deflections_northbound"], "Load (lbf)", "D{} (mils)", "R{} (in)", 1, 1)
    south = _drops(
        tables["deflections_southbound"],
        "Peak load (kN)",
        "Sensor {} (microns)",
        "Sensor offset {} (mm)",
        25.4,
        0.0044482216,
    )
    drops = pd.concat([north, south], ignore_index=True).drop_duplicates(ignore_index=True)
    return SimpleNamespace(**tables, drops=drops)
