"""The demo road carried through all stages once, and reports of it as text by page."""

from dataclasses import replace
from datetime import UTC, datetime
from types import SimpleNamespace

import pandas as pd
import pypdf
import pytest

from slabwright import intake, report
from slabwright.demo.field_files import write
from slabwright.records.decisions import Decisions, from_plain
from slabwright.records.facts import Facts
from slabwright.records.stage import RunContext
from slabwright.report.given import Report
from slabwright.stages import plan
from tests.conftest import CONFIRMED_PRICES

MADE_AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
FINDINGS = [
    report.FindingLine("faulty sensor", "accepted", "deflections_northbound.csv", 47, "sensor 5 seems dead or stuck"),
    report.FindingLine("duplicate row", "rejected", "deflections_northbound.csv", 3, "this row repeats an earlier one"),
]


def carried(facts: Facts, decisions: Decisions) -> dict:
    """The results of all stages."""
    found: dict = {}
    for stage in plan():
        found[stage.name] = stage.compute(stage.given(facts, decisions, found, RunContext()))
    return found


def pages(path) -> list[str]:
    return [page.extract_text() for page in pypdf.PdfReader(path).pages]


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    """Facts, decisions, results, and the files of the demo road."""
    folder = tmp_path_factory.mktemp("demo")
    parts: dict[str, list[pd.DataFrame]] = {}
    sources = []
    for path in write(folder):
        for reading in intake.read(path):
            settled = intake.resolve(reading, accept=True)
            parts.setdefault(settled.table, []).append(settled.frame)
            sources.append(report.SourceFile(settled.file, settled.sha256, len(settled.frame), "2026-11-24 16:02"))
    facts = Facts(**{name: pd.concat(frames, ignore_index=True) for name, frames in parts.items()})
    decisions = from_plain(CONFIRMED_PRICES)
    return SimpleNamespace(facts=facts, decisions=decisions, results=carried(facts, decisions), sources=sources)


@pytest.fixture(scope="session")
def given(demo):
    """The keyword arguments of ``report.build`` for the demo road; a test changes what it is about."""
    return {
        "road": demo.facts,
        "decisions": demo.decisions,
        "alternative": "base",
        "results": demo.results,
        "findings": FINDINGS,
        "sources": demo.sources,
        "made_at": MADE_AT,
        "system": "us",
    }


@pytest.fixture(scope="session")
def record(given, demo):
    """The same as one record, for pages and drawings that need no typesetting."""
    return Report(**{**given, "engineer": "", "findings": tuple(FINDINGS), "sources": tuple(demo.sources)})


@pytest.fixture(scope="session")
def appended(record):
    """The record of the appendix."""
    return replace(record, part="appendix")


@pytest.fixture(scope="session")
def built(given, tmp_path_factory):
    """The report of the demo road in each system: where it lies and its pages as text."""
    return {system: set_in(given, system, "report", tmp_path_factory) for system in ("us", "metric")}


@pytest.fixture(scope="session")
def appendix(given, tmp_path_factory):
    """The same of its appendix."""
    return {system: set_in(given, system, "appendix", tmp_path_factory) for system in ("us", "metric")}


def set_in(given, system, part, folders) -> SimpleNamespace:
    path = folders.mktemp("reports") / f"{system}-{part}.pdf"
    report.build(path, **{**given, "system": system, "part": part})
    return SimpleNamespace(path=path, pages=pages(path))
