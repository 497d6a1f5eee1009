"""Nine untidy field files of an invented three-lane ring road: metric, with ramps and a canal bridge, as crews hand them in.

No place or person is real. Each file has its own dialect: a byte order mark, semicolons and decimal commas, merged titles, a
row of units, a row of sums, stations in five spellings, headings in seven languages.
"""

from __future__ import annotations

import math
from pathlib import Path

import xlsxwriter

BOM = "\ufeff"
OFFSETS = (0, 200, 300, 450, 600, 900, 1200, 1500)  # mm, the layout of metric practice
POINTS, DROPS, LOST = 160, 4, 333  # 640 drops, of which one lost its centre sensor
LOADS = (30.0, 40.0, 50.0, 70.0)  # kN


def write(folder: Path) -> dict[str, Path]:
    """The nine files, by the table that each holds."""
    texts = {
        "road": ("ring.csv", BOM + "Ring road, as built\n\nproject;from km;to km;CRS\nStadtring;0,000;12,480;25832\n"),
        "lanes": (
            "fahrstreifen.csv",
            BOM + "Stadtring;;;\nFahrstreifen;Richtung;Nr;Breite\n;;;m\n"
            "A1;with stationing;1;3,50\nA2;with stationing;2;3,50\nA3;with stationing;3;3,75\n",
        ),
        "layers": (
            "aufbau.csv",
            "Bestand der Befestigung\nvon km;bis km;Bauweise;Dicke;Fugenabstand;verdübelt;Baujahr\nkm;km;;cm;m;;\n"
            "0,000;3,490;unbewehrt;24,0;5,00;ja;1998\n3,490;12,480;unbewehrt;26,0;5,00;nein;2004\nSumme;;;;;;\n",
        ),
        "bridges": (
            "ouvrages.csv",
            "No;Ouvrage;du km;au km;carries/over;Gabarit (m)\n"
            "1;Pont du canal;PK 5+120;PK 5+180;carries;\n2;Passage rue haute;km 7,340;km 7,352;over;4,85\n",
        ),
        "ramps": ("ramales.csv", "Ramal;PK;Carril;Entrada/Salida\nR1;2+250;A3;entrada\nR2;2+900;A3;salida\n"),
        "distresses": ("survey.csv", _distresses()),
        "counts": (
            "verkeer.csv",
            "Jaar;Etmaalintensiteit;Aandeel vracht (%)\n2021;45.000;12,5\n2022;46.250;12,8\nGemiddelde;;12,7\n",
        ),
        "deflections": ("fwd.csv", _drops()),
    }
    made = {}
    for table, (name, text) in texts.items():
        made[table] = folder / name
        made[table].write_text(text, encoding="utf-8")
    made["cores"] = folder / "carote.xlsx"
    _cores(made["cores"])
    return made


def _distresses() -> str:
    rows = ["no,km,lane,defect,severity,length (m),opening"]
    rows.append(",,,,l/m/h,,mm")
    rows += [f"{i},{3.1 + i / 1000:.3f},A1,LTC,{'lmh'[i % 3]},2.5,0.6" for i in range(1, 301)]
    rows += ["301,4.020,A2,transv. crack,m,3.5,1.2", "302,4.100,A2,popouts,l,,", "303,4.210,A3,Eckabbruch,3,,"]
    return "\n".join([*rows, "Total,,,,,757,"]) + "\n"


def _drops() -> str:
    """Merged titles over two rows; the basin is a smooth curve, so that no rule on basins has anything to say."""
    rows = ["Test;;;;Centre load;Deflection (µm)" + ";" * 7 + ";Temperature"]
    rows.append("km;Lane;Position;Drop;(kN);" + ";".join(map(str, OFFSETS)) + ";Air (°C)")
    for at in range(POINTS * DROPS):
        point, drop = divmod(at, DROPS)
        basin = [3.2 * LOADS[drop] * math.exp(-offset / 1800) for offset in OFFSETS]
        cells = ["" if at == LOST and i == 0 else f"{d:.1f}".replace(".", ",") for i, d in enumerate(basin)]
        place = f"{(500 + 50 * point) / 1000:.3f}".replace(".", ",")
        rows.append(
            f"{place};A2;Plattenmitte;{drop + 1};{LOADS[drop]:.1f};".replace("0.0", "0,0") + ";".join(cells) + ";18,5"
        )
    return "\n".join(rows) + "\n"


def _cores(path: Path) -> None:
    with xlsxwriter.Workbook(path) as book:
        sheet = book.add_worksheet("Carote")
        sheet.merge_range("A1:F1", "Tangenziale: carotaggi 2025")
        sheet.write_row(
            2, 0, ["N° carota", "Progressiva km", "Corsia", "Spessore", "Diametro", "Resistenza a compressione"]
        )
        sheet.write_row(3, 0, ["", "", "", "[mm]", "[mm]", "[MPa]"])
        for i, row in enumerate((("C1", 1.2, "A1", 243, 100, 41.5), ("C2", 6.75, "A2", 258, 100, 44.0))):
            sheet.write_row(4 + i, 0, row)
        sheet.write_row(6, 0, ["Media", "", "", 250.5, 100, 42.75])
