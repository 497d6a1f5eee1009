"""Who answers for the report, what changed since the last issue, and by which version of which methods it was made."""

from __future__ import annotations

from slabwright import __version__
from slabwright.report.blocks import Block, Heading, Lines, Text, rows_table
from slabwright.report.chapters import Chapter
from slabwright.report.given import Issue, Report
from slabwright.report.text import literal
from slabwright.stages import stages

__all__ = ["CHAPTERS", "issue"]

MOST_CHANGES = 14


def issue(report: Report) -> list[Block]:
    """Signatures, revisions, methods."""
    return [
        Heading("Signatures and revisions"),
        Lines((
            ("Engineer", literal(report.engineer, 80)),
            ("License number and state", ""),
            ("Signature and date", ""),
            ("Checked by, and date", ""),
        )),
        rows_table("Revisions", ("issue", "date", "what changed"), _revisions(report), report.system),
        *_more(report),
        Text(
            f"Made by Slabwright {__version__} on {report.made_at:%Y-%m-%d}, alternative"
            f" {literal(report.alternative, 60)}. Computed: {_methods(report)}. Thickness and life by AASHTO 1993; equations,"
            " values and sources stand in the appendix, a second file, with every repair, test and input.",
            "fine",
        ),
    ]


def _revisions(report: Report) -> list[tuple[str, str, str]]:
    this = f"{report.made_at:%Y-%m-%d %H:%M} UTC"
    if report.last_issue is None:
        return [("this one", this, "First issue.")]
    changes = report.last_issue.changes
    said = [f"{literal(report.plain(c), 160)}." for c in changes[:MOST_CHANGES]] or ["Nothing has changed."]
    return [
        ("last one", f"{report.last_issue.time:%Y-%m-%d %H:%M} UTC", _handed_over(report.last_issue)),
        ("this one", this, said[0]),
        *(("", "", more) for more in said[1:]),  # a row each: a row is never broken over a page
    ]


def _handed_over(issue: Issue) -> str:
    return f"Handed over, alternative {literal(issue.alternative, 60)}." if issue.alternative else "Handed over."


def _more(report: Report) -> list[Block]:
    hidden = 0 if report.last_issue is None else len(report.last_issue.changes) - MOST_CHANGES
    return [Text(f"And {hidden} more changes, in the project's history.", "fine")] if hidden > 0 else []


def _methods(report: Report) -> str:
    return ", ".join(stage.title.lower() for stage in stages() if stage.name in report.stages)


def cover(report: Report) -> list[Block]:
    """The head of the appendix: what it belongs to and how to read it."""
    return [
        Heading(f"Appendix: {literal(report.road_name, 120)}"),
        Text(
            "Workings, every repair, every test, all inputs and the wide tables behind the design report of"
            f" {report.made_at:%Y-%m-%d %H:%M} UTC. Numbers keep all their digits here; what they are worth stands in the report,"
            " with its answer, cautions and open points, without which nothing here is to be used.",
        ),
    ]


CHAPTERS = (
    Chapter(lambda: -3.0, issue, part="report", flows=True),
    Chapter(lambda: -4.0, cover),
)
