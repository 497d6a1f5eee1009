"""What a change of the history says before and after, as a person reads it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from slabwright import units
from slabwright.records.decisions import Entry
from slabwright.records.display import cell, heading
from slabwright.records.facts import FACTS
from slabwright.records.table import Schema

__all__ = ["in_words"]


def in_words(state: Mapping[str, Any], known: Mapping[str, Entry], system: units.System) -> str:
    """One side of a change: decisions with their units, tables by their titles."""
    told = {k: v for k, v in state.items() if k != "alternative" or len(state) == 1}  # "what" names it too
    if told.get("table") in FACTS:
        return _table_in_words(told, system)
    return "; ".join(f"{key} {_value(key, value, known, system)}" for key, value in told.items())


def _table_in_words(state: Mapping[str, Any], system: units.System) -> str:
    """An edited table: the cells that changed, from what to what, or the rows that came and went."""
    schema = FACTS[str(state["table"])]
    said = [f"{schema.title}, {state['rows']} rows"]
    for key in ("removed", "added"):
        if key in state:
            first, last = state[key]
            said.append(f"row {first} {key}" if first == last else f"rows {first} to {last} {key}")
    cells = state.get("cells", ())
    said += [_cell_in_words(schema, cell, system) for cell in cells]
    if state.get("changed", 0) > len(cells):
        said.append(f"and {state['changed'] - len(cells)} more cells")
    return "; ".join(said)


def _cell_in_words(schema: Schema, changed: list[Any], system: units.System) -> str:
    row, name, before, after = changed
    if name not in schema.names:
        return f"row {row}, {name}: {before} → {after}"  # a column that a later version has no more
    column = schema[name]
    old, new = (
        cell("" if v is None and column.is_text else np.nan if v is None else v, column, system)
        for v in (before, after)
    )
    return f"row {row}, {heading(column, system)}: {old or 'empty'} → {new or 'empty'}"


def _value(key: str, value: Any, known: Mapping[str, Entry], system: units.System) -> str:
    if key in known:
        return replace(known[key], value=value).text(system)
    if isinstance(value, Mapping):
        return ", ".join(f"{FACTS[k].title if k in FACTS else k} {v}" for k, v in value.items())
    return FACTS[value].title if key == "table" and value in FACTS else str(value)
