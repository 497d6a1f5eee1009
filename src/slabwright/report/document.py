"""From results to a PDF: the chapters in order, their drawings, and the typesetting. No clock, no project file."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from slabwright import __version__, units
from slabwright.errors import InputError, StoreError
from slabwright.records.decisions import Decisions
from slabwright.records.facts import Facts
from slabwright.records.results import StageResult
from slabwright.report.blocks import PAPER, Figure, plain
from slabwright.report.chapters import drawings_of_chapters, held_chapters
from slabwright.report.files import write_whole
from slabwright.report.given import FindingLine, Issue, Part, Report, SourceFile
from slabwright.report.text import BREAK, literal

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["build", "drawings", "typeset"]

NO_SIGN = "could not be displayed with font"  # of the typesetter, which then declares no PDF/UA
NOTICE = (
    "Some letters in the names given have no sign in the fonts at hand and are shown as boxes. For that reason this file is"
    " tagged for reading aloud but not declared as PDF/UA."
)
TITLES: dict[Part, str] = {"report": "Design report", "appendix": "Appendix to the design report"}


def build(
    path: str | Path,
    *,
    road: Facts,
    decisions: Decisions,
    alternative: str,
    results: Mapping[str, StageResult],
    findings: Iterable[Sequence[Any]],
    sources: Iterable[Sequence[Any]],
    made_at: datetime,
    system: units.System,
    engineer: str = "",
    comparison: Sequence[Mapping[str, Any]] = (),
    part: Part = "report",
    last_issue: Issue | None = None,
) -> None:
    """Write the design report of one alternative, or its appendix, to ``path``; the file appears whole or not at all.

    ``findings`` are rows (rule, action, file, rows, message), ``sources`` rows (file name, sha256, rows, loaded at),
    ``comparison`` rows as ``workflow.summary_rows`` gives them with ``alternative`` added, or empty. The same arguments
    give the same bytes. Raises MissingFact when a stage has no result, StoreError when the file cannot be written.
    """
    report = Report(
        road,
        decisions,
        alternative,
        results,
        tuple(FindingLine(*f) for f in findings),
        tuple(SourceFile(*s) for s in sources),
        made_at,
        engineer,
        system,
        comparison,
        part,
        last_issue,
    )
    _check_place(Path(path))
    write_whole(Path(path), typeset(report), "pdf")


def open_points(
    road: Facts,
    decisions: Decisions,
    alternative: str,
    results: Mapping[str, StageResult],
    findings: Sequence[FindingLine],
    system: units.System,
) -> list[tuple[str, str]]:
    """What each open point is about and the point, in the order of the report, for documents that are no report."""
    from slabwright.report.pages_open import all_points

    report = Report(road, decisions, alternative, results, tuple(findings), (), datetime.min, "", system)
    return [(about.rstrip(":").replace(BREAK, ""), words.replace(BREAK, "")) for about, words in all_points(report)]


def drawings(report: Report) -> dict[str, str]:
    """Every drawing that a page calls for, as SVG by its name."""
    from slabwright.report import figures
    from slabwright.report.pages_design import designed_sections, worst_sections
    from slabwright.report.pages_mechanistic import lived_sections, worst_bond

    lived = lived_sections(report) if "life" in report.results else []
    bonded = worst_bond(report) if "bond" in report.results else ""
    made = figures.drawings(report, designed_sections(report), worst_sections(report), lived, bonded)
    painters = made | drawings_of_chapters(report)
    asked = [b.name for _, blocks in held_chapters(report) for b in blocks if isinstance(b, Figure)]
    return {name: painters[name]() for name in asked}


def typeset(report: Report) -> bytes:
    """The document as PDF/UA-1 (ISO 14289-1), tagged for reading aloud. With letters that no font holds it is tagged but not
    declared as such, which its first chapter says. Fonts are those inside the typesetter; nothing is fetched.
    """
    with _room() as root:
        return _typeset_in(root, report)


@contextmanager
def _room() -> Iterator[Path]:
    """A folder for the parts of a document, gone with the block; StoreError where they cannot be kept there."""
    try:
        with tempfile.TemporaryDirectory(prefix="slabwright-report-") as folder:
            yield Path(folder)
    except OSError as problem:
        raise StoreError(
            f"the parts of the report cannot be kept while it is set: {problem.strerror or problem}",
            where=tempfile.gettempdir(),
            remedy="Make room on the disk, or name another folder by the variable TMPDIR.",
        ) from problem


def _typeset_in(root: Path, report: Report) -> bytes:
    import typst

    for name, text in drawings(report).items():
        (root / f"{name}.svg").write_text(text, encoding="utf-8")
    template = resources.files("slabwright.report").joinpath("templates/report.typ").read_bytes()
    (root / "report.typ").write_bytes(template)
    data = _page_data(report)
    try:
        return _compiled(root, data | {"notice": ""}, "ua-1", report.made_at)
    except typst.TypstError as problem:
        if NO_SIGN not in str(problem):
            raise
        return _compiled(root, data | {"notice": NOTICE}, None, report.made_at)


def _compiled(root: Path, data: Mapping[str, Any], standard: Literal["ua-1"] | None, moment: datetime) -> bytes:
    import typst

    (root / "report.json").write_text(json.dumps(data, allow_nan=False), encoding="utf-8")
    compiler = typst.Compiler(root / "report.typ", root=root, ignore_system_fonts=True)
    made = compiler.compile(format="pdf", timestamp=_instant(moment), pdf_standards=standard)
    assert isinstance(made, bytes)
    return made


def _page_data(report: Report) -> dict[str, Any]:
    name, alternative = literal(report.road_name, 70), literal(report.alternative, 40)
    day = report.made_at.strftime("%Y-%m-%d %H:%M UTC")
    return {
        "title": f"{TITLES[report.part]}, bonded overlay: {name}",
        "author": literal(report.engineer, 80),
        "keywords": ["bonded concrete overlay", alternative],
        "paper": PAPER[report.system][0],
        "header": {"left": name, "right": f"{TITLES[report.part]}, alternative {alternative}"},
        "footer": " · ".join(t for t in (day, literal(report.engineer, 60), f"Slabwright {__version__}") if t),
        "chapters": [{"flows": c.flows, "blocks": plain(blocks)} for c, blocks in held_chapters(report)],
    }


def _instant(moment: datetime) -> int:
    """Seconds since 1970; a moment without a zone counts as universal time."""
    return int((moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp())


def _check_place(path: Path) -> None:
    if path.is_dir():
        raise InputError("this is a folder, and the report is one file", given=str(path), remedy="Give a file name.")
    if not path.parent.is_dir():
        raise InputError(
            "the folder for the report does not exist", given=str(path.parent), remedy="Make it, or choose another."
        )
