"""Outside files to validated tables in SI, with findings row by row.

``read`` gives a ``Reading`` for each table in a file, ``preview`` shows it, and ``resolve`` takes the engineer's
word on its warnings. Nothing is half-loaded: a file with errors gives no table, and no row goes without a trace.
"""

from slabwright.intake.grouping import Group, grouped
from slabwright.intake.headings import ColumnMatch
from slabwright.intake.reading import Reading, possible_headings, read, read_bytes
from slabwright.intake.resolving import Preview, Resolved, Settled, preview, resolve
from slabwright.intake.rules import RULES, Cells

__all__ = [
    "RULES",
    "Cells",
    "ColumnMatch",
    "Group",
    "Preview",
    "Reading",
    "Resolved",
    "Settled",
    "grouped",
    "possible_headings",
    "preview",
    "read",
    "read_bytes",
    "resolve",
]
