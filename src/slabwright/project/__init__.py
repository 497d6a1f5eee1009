"""The project file: facts, decisions and results of one road, with everything that ever changed them.

Imported lazily by the command line; ``Project`` is the whole face of the room.
"""

from slabwright.project.fingerprints import fingerprint
from slabwright.project.history import Change
from slabwright.project.moving import Moved, move_project
from slabwright.project.project import Meta, Project, SinceReport, create, open_project
from slabwright.project.server import is_url
from slabwright.project.sources import Answer, AnsweredFinding, Batch, LoadedFile, SourceFile, TracedFinding
from slabwright.project.wholeness import Whole, check_whole, copy_project

__all__ = [
    "Answer",
    "AnsweredFinding",
    "Batch",
    "Change",
    "LoadedFile",
    "Meta",
    "Moved",
    "Project",
    "SinceReport",
    "SourceFile",
    "TracedFinding",
    "Whole",
    "check_whole",
    "copy_project",
    "create",
    "fingerprint",
    "is_url",
    "move_project",
    "open_project",
]
