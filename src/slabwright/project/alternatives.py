"""Alternatives and their decisions: one row for each value that a decision has ever had."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import sqlalchemy as sa

from slabwright.errors import InputError
from slabwright.project.schema import ALTERNATIVE, DECISION, current
from slabwright.project.texts import check_storable
from slabwright.records.decisions import Decisions, checked, entries, from_plain, stations, to_plain
from slabwright.records.decisions.evaluation import EVERY_LANE, names_in
from slabwright.records.facts import Facts
from slabwright.roadway.places import directions_of_lanes, road_limits
from slabwright.units import System, format_station

__all__ = [
    "BASE",
    "Plain",
    "insert",
    "changed",
    "check_beside_facts",
    "decide",
    "names",
    "numbered",
    "read",
    "remove",
    "start",
]

BASE = "base"
BOUNDARIES = "survey.section_boundaries"
SETTLED = "evaluation.settled_cores"
WALKED = "evaluation.lanes_walked_whole"
NAMES_LISTED = 12
AT_THE_END = 0.01  # m: a station is that of the end
Plain = Mapping[str, float | str]


def start(connection: sa.Connection) -> None:
    """The base alternative, every default written out, so that a later default changes no old project."""
    insert(connection, BASE, to_plain(Decisions()), 0)


def names(connection: sa.Connection, head: int) -> tuple[str, ...]:
    """The alternatives, the base first, then in the order they were made."""
    query = sa.select(ALTERNATIVE.c.name).where(current(ALTERNATIVE, head)).order_by(ALTERNATIVE.c.id)
    return tuple(connection.execute(query).scalars())


def numbered(connection: sa.Connection, head: int, name: str) -> int:
    """The number of an alternative, or InputError with the names there are."""
    query = sa.select(ALTERNATIVE.c.id).where(current(ALTERNATIVE, head), ALTERNATIVE.c.name == name)
    found = connection.execute(query).scalar()
    if found is None:
        held = ", ".join(names(connection, head))
        raise InputError("there is no alternative of this name", given=name, allowed=held)
    return int(found)


def read(connection: sa.Connection, head: int, name: str) -> Decisions:
    """The decisions of an alternative; one that its project does not know yet has its default."""
    query = (
        sa
        .select(DECISION.c.name, DECISION.c.number, DECISION.c.word)
        .where(current(DECISION, head), DECISION.c.alternative == numbered(connection, head, name))
        .order_by(DECISION.c.id)
    )
    rows = connection.execute(query).all()
    return from_plain({row.name: row.number if row.word is None else row.word for row in rows})


def changed(decisions: Decisions, given: Plain) -> dict[str, float | str]:
    """The given values that differ from the decisions; InputError or OutOfRange for one that cannot be."""
    known = {entry.name: entry for entry in entries(decisions)}
    new: dict[str, float | str] = {}
    for name, value in given.items():
        if name not in known:
            raise InputError("there is no decision of this name", given=name, allowed=", ".join(known))
        sound = checked(name, value, known[name].about)
        check_storable([str(sound)], name)
        if sound != known[name].value:
            new[name] = sound
    return new


def check_beside_facts(values: Plain, facts: Callable[[], Facts]) -> None:
    """Raise InputError for decisions that name a place or a thing which the project does not hold."""
    _check_on_road(values, facts)
    _check_names(values, SETTLED, "core", lambda: [*dict.fromkeys(facts().cores["core"])])
    _check_names(values, WALKED, "lane of the road", lambda: _lanes(facts()))


def _lanes(facts: Facts) -> list[str]:
    """The lanes of the road, and the word for all of them; none where no table names one."""
    named = sorted(filter(None, directions_of_lanes(facts)))
    return [*named, EVERY_LANE] if named else []


def _check_names(values: Plain, decision: str, what: str, known: Callable[[], list[str]]) -> None:
    """Raise InputError for names in a decision that nothing has; a project that holds none of the kind takes any."""
    named = names_in(str(values.get(decision, "")))
    held = known() if named else []
    unknown = [name for name in named if name not in held]
    if held and unknown:
        allowed = ", ".join(map(str, held[:NAMES_LISTED])) + (", ..." if len(held) > NAMES_LISTED else "")
        raise InputError(f"{decision} names what is no {what}", given="; ".join(unknown), allowed=allowed)


def _check_on_road(values: Plain, facts: Callable[[], Facts]) -> None:
    """Raise InputError for a section boundary that lies off the road; a road whose ends are unknown takes any."""
    text = str(values.get(BOUNDARIES, ""))
    if not text:
        return
    held = facts()
    if held.road.empty and held.layers.empty and held.deflections.empty:
        return
    first, last = road_limits(held)
    system: System = "metric" if "metres" in set(held.road["stationing"]) else "us"
    off = [format_station(s, system) for s in stations(text) if not first + AT_THE_END < s < last - AT_THE_END]
    if off:
        raise InputError(
            f"{BOUNDARIES} names a station off the road",
            given="; ".join(off),
            allowed=f"between {format_station(first, system)} and {format_station(last, system)}",
        )


def insert(connection: sa.Connection, name: str, values: Plain, change: int) -> None:
    """A new alternative with these decisions."""
    made = sa.insert(ALTERNATIVE).values(inserted=change, name=name).returning(ALTERNATIVE.c.id)
    _insert(connection, connection.execute(made).scalar_one(), values, change)


def decide(connection: sa.Connection, alternative: int, values: Plain, head: int, change: int) -> None:
    """New values in place of those that held at ``head``."""
    connection.execute(
        sa
        .update(DECISION)
        .where(current(DECISION, head), DECISION.c.alternative == alternative, DECISION.c.name.in_(list(values)))
        .values(closed=change)
    )
    _insert(connection, alternative, values, change)


def remove(connection: sa.Connection, alternative: int, head: int, change: int) -> None:
    """Close an alternative with its decisions."""
    connection.execute(
        sa.update(DECISION).where(current(DECISION, head), DECISION.c.alternative == alternative).values(closed=change)
    )
    connection.execute(sa.update(ALTERNATIVE).where(ALTERNATIVE.c.id == alternative).values(closed=change))


def _insert(connection: sa.Connection, alternative: int, values: Plain, change: int) -> None:
    rows = [
        {
            "inserted": change,
            "alternative": alternative,
            "name": name,
            "number": None if isinstance(value, str) else float(value),
            "word": value if isinstance(value, str) else None,
        }
        for name, value in values.items()
    ]
    connection.execute(sa.insert(DECISION), rows)
