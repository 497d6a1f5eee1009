"""Outside files to validated tables in SI, with findings row by row.

``read`` gives a ``Reading`` for each table in a file, ``preview`` shows it, and ``resolve`` takes the engineer's
word on its warnings. Nothing is half-loaded: a file with errors gives no table, and no row goes without a trace.
"""

from slabwright.intake.grouping import Group, grouped
from slabwright.intake.headings import ColumnMatch
from slabwright.intake.layouts import Known, known_from, plain
from slabwright.intake.questions import AnswerNeeded, Offer, Question
from slabwright.intake.reading import Reading, check_words, possible_headings, read, read_bytes
from slabwright.intake.resolving import Preview, Resolved, Settled, preview, resolve
from slabwright.intake.rules import RULES, Cells
from slabwright.intake.words import Word

__all__ = [
    "RULES",
    "AnswerNeeded",
    "Cells",
    "ColumnMatch",
    "Group",
    "Known",
    "Offer",
    "Preview",
    "Question",
    "Reading",
    "Resolved",
    "Settled",
    "Word",
    "check_words",
    "grouped",
    "known_from",
    "plain",
    "possible_headings",
    "preview",
    "read",
    "read_bytes",
    "resolve",
]
