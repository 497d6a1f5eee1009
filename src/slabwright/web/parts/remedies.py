"""What to do about a finding, in the words of the page: the rooms below speak to every caller, and know no fields."""

from __future__ import annotations

__all__ = ["HERE", "remedy_here"]

# What intake says, and the same said to somebody who has the fields of the page before them.
HERE = {
    "Leave its column out by --map 'HEADER=', for example --map 'D600 (um)=', or correct the file.": "Choose 'not used' for its heading under Headings and columns, or correct the file.",
    "State the unit in the heading or with the units option, or accept it.": "State the unit beside its heading under Headings and columns, or accept it.",
    "Correct the unit with the units option, or accept the values as they are.": "Correct the unit beside its heading under Headings and columns, or accept the values as they are.",
    "Name its column in the mapping if it should be read.": "Choose its column under Headings and columns if it should be read.",
    "Name the right one in the mapping.": "Choose the right one under Headings and columns.",
    "Confirm the mapping, or correct it.": "Accept it, or choose another column under Headings and columns.",
    "Name the heading that holds it in the mapping, or add the column to the file.": "Choose it under Headings and columns for the heading that holds it, or add the column to the file.",
    "Exchange the two in the mapping, or reject both.": "Exchange the two under Headings and columns, or reject both.",
    "Accept that the sheet is left out, or name its columns in the mapping.": "Accept that the sheet is left out, or save it as a file of its own and choose its columns.",
    "Name the table, correct the headings, or give the mapping of headings to columns.": "Choose its table above, or choose columns for its headings below, and read it again.",
}


def remedy_here(remedy: str) -> str:
    """The remedy as the page says it."""
    return HERE.get(remedy, remedy)
