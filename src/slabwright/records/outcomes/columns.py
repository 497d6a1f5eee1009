"""Columns that the result tables of several stages share."""

from __future__ import annotations

from slabwright.records.table import Column

__all__ = [
    "BEGIN",
    "DIRECTION",
    "END",
    "FITS",
    "LANE",
    "OVERLAY",
    "POINT",
    "POSITION",
    "REASON",
    "SECTION",
    "SOURCE",
    "STATION",
]

SECTION = Column("section", "text", "section")
DIRECTION = Column("direction", "text", "direction of travel")
STATION = Column("station", "station", "station")
LANE = Column("lane", "text", "lane")
BEGIN = Column("begin", "station", "from station")
END = Column("end", "station", "to station")
POSITION = Column("position", "text", "position of the plate")
POINT = Column("point", "text", "test point")
REASON = Column("reason", "remark", "reason")
SOURCE = Column("source", "text", "source of the limit")
OVERLAY = Column("overlay", "thickness", "overlay thickness")

# What a published law was fitted to, beside this road.
FITS = (
    SECTION,
    Column("law", "text", "law"),
    Column("quantity", "text", "quantity"),
    Column("value", "remark", "here"),
    Column("low", "remark", "fitted from"),
    Column("high", "remark", "to"),
    Column("inside", "text", "inside"),
    Column("basis", "text", "fitted to"),
)
