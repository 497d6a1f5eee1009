"""The printed report and its appendix: page records and vector figures from results, typeset to a PDF.

``document.build`` is the door. ``given`` is what a report is made from, ``blocks`` what a page may hold,
``pages_*`` one file for each chapter, ``figures`` says which pictures it holds, ``paint`` paints them, and ``templates/report.typ`` the typesetting.
"""

from slabwright.report.document import build, open_points
from slabwright.report.given import FindingLine, Issue, Part, SourceFile

__all__ = ["FindingLine", "Issue", "Part", "SourceFile", "build", "open_points"]
