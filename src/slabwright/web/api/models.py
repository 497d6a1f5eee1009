"""What the HTTP interface takes and gives, one record for each body; a number that is missing is null."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue

__all__ = [
    "AlternativeAdded",
    "CalculationEntry",
    "CalculationInputs",
    "CalculationResult",
    "ChangeEntry",
    "CheckEntry",
    "DecisionEntry",
    "DecisionsGiven",
    "Done",
    "ErrorBody",
    "ErrorParts",
    "Expected",
    "FactsPage",
    "FileLoaded",
    "FileRead",
    "FindingEntry",
    "Headed",
    "History",
    "InputEntry",
    "LoadedEntry",
    "MatchEntry",
    "OutcomeEntry",
    "OutputEntry",
    "Preview",
    "ResultsView",
    "RoadCreated",
    "RoadGiven",
    "RoadView",
    "Roads",
    "RunView",
    "SourceEntry",
    "StageDescription",
    "StageEntry",
    "StagesView",
    "Stepped",
    "SummaryRow",
    "TableColumn",
    "TableEntry",
    "TableView",
    "ValueShown",
    "WorkingEntry",
    "plain",
]

LARGEST_HEAD = 2**53  # whole numbers that every reader of JSON keeps exactly

Cell = float | str | None
Text = Annotated[str, Field(max_length=10_000)]
Finite = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Head = Annotated[int, Field(ge=0, le=LARGEST_HEAD, strict=True, description="The head that this edit was based on.")]


class Given(BaseModel):
    """A body that is given: a field that is not known is a mistake, and refused."""

    model_config = ConfigDict(extra="forbid")


class ErrorParts(BaseModel):
    """What was refused, part by part, and all of it as one sentence."""

    what: str
    where: str
    given: str | None
    allowed: str
    source: str
    remedy: str
    message: str


class ErrorBody(BaseModel):
    error: ErrorParts


# Calculations --------------------------------------------------------------------------------------------
class InputEntry(BaseModel):
    """One input; bounds and default are in ``unit``, and ``choices`` is not empty where a word is asked for."""

    name: str
    unit: str
    default: Cell
    low: float | None
    high: float | None
    meaning: str
    choices: list[str] = []
    many: bool = False


class OutputEntry(BaseModel):
    name: str
    unit: str
    meaning: str


class CheckEntry(BaseModel):
    """A published example or independent method that the calculation is checked against."""

    id: str
    title: str
    source: str
    tag: str
    kind: str


class CalculationEntry(BaseModel):
    name: str
    title: str
    room: str
    equation: str
    source: str
    errata: str
    tag: str
    inputs: list[InputEntry]
    outputs: list[OutputEntry]
    checks: list[CheckEntry]


class CalculationInputs(Given):
    """Inputs by name: a text with a unit ("4 in"), or a number in the customary unit of the system asked for."""

    inputs: Annotated[dict[Annotated[str, Field(max_length=200)], Finite | Text], Field(max_length=200)] = {}


class ValueShown(BaseModel):
    value: float | str | list[float | None] | None
    unit: str


class CalculationResult(BaseModel):
    name: str
    inputs: dict[str, ValueShown]
    outputs: dict[str, ValueShown]
    source: str
    tag: str
    working: str


# Roads ---------------------------------------------------------------------------------------------------
class Roads(BaseModel):
    roads: list[str]


class RoadGiven(Given):
    name: Annotated[str, Field(max_length=10_000, description="Letters, digits, spaces, - and _.")]


class Headed(BaseModel):
    """The head after the change: hand it back as ``expected`` with the next one."""

    head: int


class RoadCreated(Headed):
    name: str


class TableEntry(BaseModel):
    name: str
    title: str
    rows: int


class OutcomeEntry(BaseModel):
    """A result table that a stage gives."""

    name: str
    title: str
    row: str
    columns: list[str]


class StageDescription(BaseModel):
    """A stage as it is declared: what it asks, reads, decides and gives."""

    name: str
    title: str
    question: str
    long: bool
    needed: list[str]
    facts: list[str]
    decisions: list[str]
    after: list[str]
    may_use: list[str]
    tables: list[OutcomeEntry]


class StagesView(BaseModel):
    """All stages in the order of the job."""

    stages: list[StageDescription]


class StageEntry(BaseModel):
    """Whether a stage's result is current, stale, or waiting for facts, and what it needs."""

    stage: str
    state: Literal["current", "stale", "waiting"]
    needs: str


class DecisionEntry(BaseModel):
    """A decision as it stands, its bounds in ``unit``; ``choices`` is empty for numbers and for free text."""

    name: str
    text: str
    unit: str
    meaning: str
    low: float | None
    high: float | None
    choices: list[str]


class SourceEntry(BaseModel):
    name: str
    sha256: str
    size: int
    rows: int
    time: datetime
    user: str


class RoadView(Headed):
    name: str
    alternative: str
    alternatives: list[str]
    tables: list[TableEntry]
    files: list[SourceEntry]
    stages: list[StageEntry]
    decisions: list[DecisionEntry]


class TableColumn(BaseModel):
    name: str
    unit: str
    meaning: str


class TableView(BaseModel):
    title: str
    columns: list[TableColumn]
    rows: list[list[Cell]]


class FactsPage(TableView):
    """Some rows of a table; ``origins`` holds the file and row of each, null and null for rows entered by hand."""

    head: int
    table: str
    total: int
    offset: int
    origins: list[tuple[str | None, int | None]]


# Edits ---------------------------------------------------------------------------------------------------
class Expected(Given):
    expected: Head


class DecisionsGiven(Given):
    """Decisions by name: a text with a unit, a word, or a number in the customary unit of the system asked for."""

    alternative: Text = "base"
    decisions: Annotated[dict[Annotated[str, Field(max_length=200)], Finite | Text], Field(max_length=500)]
    expected: Head


class AlternativeAdded(Given):
    name: Text
    like: Text = "base"
    expected: Head


class ChangeEntry(BaseModel):
    """One entry of the history; ``before`` and ``after`` hold what changed, by name, in SI.

    An undo or redo is an entry too and names the change it moved in ``undoes`` or ``redoes``. A change that was undone
    can be made again unless ``replaced`` names the change that took its place.
    """

    id: int
    time: datetime
    user: str
    what: str
    undone: bool
    undoes: int | None
    redoes: int | None
    replaced: int | None
    before: dict[str, JsonValue]
    after: dict[str, JsonValue]


class History(Headed):
    """A part of the history, oldest first; ``earlier`` is the ``before`` that leads on to older changes, null at the first."""

    total: int
    earlier: int | None
    changes: list[ChangeEntry]


class Stepped(Headed):
    change: ChangeEntry


class Done(Headed):
    alternatives: list[str]


# Files ---------------------------------------------------------------------------------------------------
class MatchEntry(BaseModel):
    """A heading of the file, the column and unit it was taken for, how, and how surely (0 to 1)."""

    header: str
    column: str | None
    unit: str | None
    how: str
    confidence: float


class FindingEntry(BaseModel):
    weight: Literal["error", "warning", "note"]
    rule: str
    row: int | None
    column: str
    value: str
    message: str
    remedy: str


class Preview(BaseModel):
    """One table found in a file: nothing of it is in the project yet. ``findings`` is cut at 500."""

    table: str
    title: str
    rows: int
    mapping: list[MatchEntry]
    unmapped: list[str]
    columns: list[str]
    first: list[list[Cell]]
    counts: dict[str, int]
    warnings: dict[str, int]
    findings: list[FindingEntry]


class LoadedEntry(BaseModel):
    """What was loaded: rows for each table, the change it was, and how many warnings were accepted and rejected."""

    rows: dict[str, int]
    change: int
    accepted: int
    rejected: int


class FileRead(Headed):
    outcome: Literal["previewed"] = "previewed"
    file: str
    tables: list[Preview]


class FileLoaded(Headed):
    outcome: Literal["loaded"] = "loaded"
    file: str
    loaded: LoadedEntry


# Results -------------------------------------------------------------------------------------------------
class WorkingEntry(BaseModel):
    name: str
    title: str
    context: str
    source: str
    tag: str
    text: str


class ResultsView(Headed):
    stage: str
    alternative: str
    units: Literal["us", "metric"]
    tables: dict[str, TableView]
    notes: list[str]
    workings: list[WorkingEntry]


class SummaryRow(BaseModel):
    """What a chief engineer asks of a section first; quantities as text in the units asked for.

    The cost is null where the run ended before the economics stage.
    """

    section: str
    begin: str
    end: str
    verdict: str
    bonded: str
    overlay: str
    years: float | None
    years_gained: float | None
    reduction: float | None
    cost: float | None


class RunView(Headed):
    alternative: str
    computed: list[str]
    stages: list[StageEntry]
    notes: list[str]
    summary: list[SummaryRow]


def plain(values: Any) -> Any:
    """Nested lists of numbers with null where a number is missing."""
    if isinstance(values, list):
        return [plain(value) for value in values]
    return None if isinstance(values, float) and values != values else values
