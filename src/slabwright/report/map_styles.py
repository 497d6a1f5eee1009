"""Styles inside a GeoPackage: the table ``layer_styles``, which desktop maps read when a layer is opened.

Colours are those of the road strip. A style is XML of the open symbology format of that table: one symbol, or one for each
word of a column.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Literal
from xml.etree import ElementTree

from slabwright.figures.looks import LIGHT, group, look, verdict

__all__ = ["STYLED_BY", "Style", "add_styles", "style_of"]

Shape = Literal["line", "marker"]
STYLED_BY = {
    "sections": "verdict",
    "repairs": "kind",
    "distresses": "severity",
    "ramps": "kind",
    "voids": "void",
}
WIDE = {"sections": 2.6, "bridges": 3.4, "repairs": 1.2}  # mm
SIZE = 2.2  # mm
# The columns that desktop maps expect of this table.
TABLE = """CREATE TABLE layer_styles (
    id INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL, f_table_catalog TEXT(256), f_table_schema TEXT(256),
    f_table_name TEXT(256), f_geometry_column TEXT(256), styleName TEXT(30), styleQML TEXT, styleSLD TEXT,
    useAsDefault BOOLEAN, description TEXT, owner TEXT(30), ui TEXT(30), update_time DATETIME)"""
CONTENTS = """INSERT INTO gpkg_contents (table_name, data_type, identifier, description, last_change)
    VALUES ('layer_styles', 'attributes', 'layer_styles', 'styles of the layers', '2026-01-01T00:00:00.000Z')"""


@dataclass(frozen=True)
class Style:
    """The XML of a layer's style, and the column and words by which it tells symbols apart ("" and none: one symbol)."""

    xml: str
    column: str
    words: tuple[str, ...]


def style_of(layer: str, shape: Shape, words: Sequence[str]) -> Style:
    """A symbol for each of ``words`` in the column by which the layer is styled, or one for all."""
    column = STYLED_BY.get(layer, "")
    shown = tuple(dict.fromkeys(words)) if column else ()
    root = ElementTree.Element("qgis", version="3.16", styleCategories="Symbology")
    kind = "categorizedSymbol" if shown else "singleSymbol"
    renderer = ElementTree.SubElement(
        root, "renderer-v2", type=kind, symbollevels="0", enableorderby="0", forceraster="0"
    )
    symbols = ElementTree.Element("symbols")
    if shown:
        renderer.set("attr", column)
        categories = ElementTree.SubElement(renderer, "categories")
        for i, word in enumerate(shown):
            label = word or "not given"
            ElementTree.SubElement(categories, "category", symbol=str(i), value=word, label=label, render="true")
    for i, word in enumerate(shown or ("",)):
        role = verdict(word) if column == "verdict" else group(i)
        _symbol(symbols, str(i), shape, look(role).colour(LIGHT), WIDE.get(layer, 1.0))
    renderer.append(symbols)
    return Style(ElementTree.tostring(root, encoding="unicode"), column if shown else "", shown)


def _symbol(symbols: ElementTree.Element, name: str, shape: Shape, colour: str, width: float) -> None:
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    symbol = ElementTree.SubElement(symbols, "symbol", name=name, type=shape, alpha="1", clip_to_extent="1")
    simple = "SimpleLine" if shape == "line" else "SimpleMarker"
    drawn = ElementTree.SubElement(symbol, "layer", {"class": simple, "enabled": "1", "locked": "0", "pass": "0"})
    line = {
        "line_color": f"{red},{green},{blue},255",
        "line_width": f"{width}",
        "line_width_unit": "MM",
        "capstyle": "flat",
    }
    marker = {
        "color": f"{red},{green},{blue},255",
        "name": "circle",
        "outline_color": "255,255,255,255",
        "outline_width": "0.2",
        "size": f"{SIZE}",
        "size_unit": "MM",
    }
    for key, value in (line if shape == "line" else marker).items():
        ElementTree.SubElement(drawn, "prop", k=key, v=value)


def add_styles(path: Path, styles: Mapping[str, Style]) -> None:
    """Write the styles of the layers of a GeoPackage into it, each as the one that a layer opens with."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute(TABLE)
        connection.execute(CONTENTS)
        for layer, style in styles.items():
            (geometry,) = connection.execute(
                "SELECT column_name FROM gpkg_geometry_columns WHERE table_name = ?", (layer,)
            ).fetchone()
            connection.execute(
                "INSERT INTO layer_styles (f_table_catalog, f_table_schema, f_table_name, f_geometry_column, styleName,"
                " styleQML, useAsDefault, description) VALUES ('', '', ?, ?, ?, ?, 1, ?)",
                (layer, geometry, layer, style.xml, f"{layer}, colours of the road strip"),
            )
