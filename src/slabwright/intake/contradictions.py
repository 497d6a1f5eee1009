"""Rows that contradict each other: within a file, between files, and with what the project holds already.

Each rule looks at the rows of one new piece and at the rows ``before`` it, and names both rows. Lanes spelled another way
are read as the lane they name, which the engineer accepts or rejects as any other warning. Thresholds are common
practice without a source.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, cached_property

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.intake.count_checks import crowded, jumps
from slabwright.intake.deflection_checks import DROP_KEYS, drop_keys
from slabwright.intake.keys import mixed, same_rows
from slabwright.intake.rules import LISTED, Log, Rows
from slabwright.intake.table_checks import check_on_road
from slabwright.records.facts import FACTS
from slabwright.records.table import empty
from slabwright.records.words import CARRIES
from slabwright.units import System, format_quantity, format_station

__all__ = ["Placed", "compare", "far_longer", "lane_key", "limits_of", "none_before", "spell_lanes"]

UNIQUE: Mapping[str, tuple[tuple[str, ...], ...]] = {
    "lanes": (("lane",), ("direction", "position")),
    "counts": (("year",),),
    "truck_classes": (("vehicle_class",),),
    "axles": (("axle", "load"),),
    "alignment": (("station",),),
    "climate": (("state_code", "section", "year"),),
}
MAY_LACK = ("state_code", "section")  # parts of a key that one road has no need of
NAMED = {"cores": ("core", "lane"), "ramps": ("name", "kind"), "bridges": ("name",)}
SPOKEN = ("deflections", "cores", "distresses", "layers", "ramps")  # tables that name lanes
SURVEYED = ("deflections", "distresses", "cores", "layers", "alignment")  # tables that show how far the road reaches
SAME = 0.1  # m: an overlap no longer than this is rounding of stations
FAR_LONGER = 2.0  # times the stretch that was surveyed
FAR_LENGTH = 2000.0  # m beyond it
WAYS = {
    spelled: way
    for way, names in {
        "n": "n nb north northbound",
        "s": "s sb south southbound",
        "e": "e eb east eastbound ost",
        "w": "w wb west westbound",
        "r": "r right rechts droite",
        "l": "l left links gauche",
    }.items()
    for spelled in names.split()
}
LANE_WORDS = re.compile(
    r"\b(?:lane|ln|voie|fahrstreifen|fahrspur|spur|carril|corsia|faixa|rijstrook|strook|körfält|kjørefelt|vognbane|pruh)\b"
)
STEP = {"station": 0.01, "load": 1.0}  # numbers of a key are the same within these (m, N); others when equal


@dataclass(frozen=True, eq=False)
class Placed:
    """Rows of one table (n, columns) in SI, with file (n,) and row in it (n,) of each: "" and NaN for rows entered by hand."""

    frame: pd.DataFrame
    files: npt.NDArray[np.object_]
    rows: npt.NDArray[np.float64]

    def place(self, at: int) -> str:
        """Where a row stands, in words."""
        if not self.files[at]:
            return f"entered by hand, row {at + 1} of the table"
        return f"{self.files[at]}, row {self.rows[at]:.0f}"

    def with_(self, more: Placed) -> Placed:
        """These rows and then the others."""
        if not len(self.frame):
            return more
        return Placed(
            pd.concat([self.frame, more.frame], ignore_index=True),
            np.concatenate([self.files, more.files]),
            np.concatenate([self.rows, more.rows]),
        )


Before = Callable[[str], Placed]


@cache
def none_before(table: str) -> Placed:
    """No rows of a table."""
    return Placed(empty(FACTS[table]), np.zeros(0, dtype=object), np.zeros(0))


def lane_key(name: str) -> str:
    """What stays of a lane's name when case, marks, the word lane in any language and leading zeros do not count.

    The sign of a number stays: in some numberings it is the side of the road.
    """
    plain = re.sub(r"[\W_]+", " ", unicodedata.normalize("NFKC", name).casefold())
    bare = LANE_WORDS.sub(" ", re.sub(r"\b(lane|ln)(?=\d)", r"\1 ", plain))
    key = re.sub(r"(?<!\d)0+(?=\d)", "", (bare.strip() or plain).replace(" ", ""))
    return f"-{key}" if re.fullmatch(r"\s*-\s*\d+\s*", name) else key or name


def spell_lanes(table: str, frame: pd.DataFrame, spelled: Mapping[str, str], log: Log) -> pd.DataFrame:
    """The rows with their lanes as ``spelled`` has them by key, each other spelling told as one warning."""
    if table not in SPOKEN:
        return frame
    names = frame["lane"].to_numpy()
    made = names.copy()
    for name in pd.unique(names):
        right = spelled.get(lane_key(name), name) if name else name
        if right != name:
            at = np.flatnonzero(names == name)
            made[at] = right
            message = f"the lane {name} is read as {right}, which differs only in how it is written ({len(at)} rows)"
            log.whole("lane spelled another way", message, at, _lane_column(table), value=str(name))
    return frame.assign(lane=made) if (made != names).any() else frame


def compare(table: str, new: Placed, before: Before, log: Log, system: System, *, exact: Rows | None = None) -> None:
    """Every contradiction of the new rows with each other and with those before, told in ``log`` (positions in new).

    ``exact``: rows named as repeats already, which are not named again.
    """
    told = set() if exact is None else set(exact.tolist())
    earlier = before(table)
    pairs = _Pairs(earlier, new, told, log)
    repeats = pairs.repeats
    for key in UNIQUE.get(table, ()):
        _once(table, key, pairs, system)
    special = SPECIAL.get(table)
    if special:
        special(pairs, system)
    if not UNIQUE.get(table) and table not in ("road", "weather"):
        rows = np.array(sorted(repeats), dtype=np.int64)
        if repeats:
            pairs.tell("duplicate row", "this row stands already in {}", rows, pairs.first_same(rows))
    _lanes(table, new, before, log)
    _crowded(table, new, before, log)
    _extent(table, new, before, log, system)


class _Pairs:
    """Rows of a table, the new ones behind the earlier ones, and how a pair of them is told."""

    def __init__(self, earlier: Placed, new: Placed, told: set[int], log: Log) -> None:
        self.earlier, self.new, self.told, self.log = earlier, new, told, log
        self.count = len(earlier.frame)

    @cached_property
    def frame(self) -> pd.DataFrame:
        """All rows in all columns: a copy, which a rule for large tables does without."""
        return self.earlier.with_(self.new).frame

    def columns(self, names: Sequence[str]) -> pd.DataFrame:
        """All rows in some columns."""
        return pd.concat([self.earlier.frame[[*names]], self.new.frame[[*names]]], ignore_index=True)

    @cached_property
    def repeats(self) -> set[int]:
        """New rows that repeat a row of another file in every column: not those named within their own file."""
        if not self.count:
            return set()
        same = same_rows(self.earlier.frame, self.new.frame)
        return {r for r in same.tolist() if r >= self.count and r - self.count not in self.told}

    def place(self, at: int) -> str:
        """Where a row of both stands, in words."""
        return self.earlier.place(at) if at < self.count else self.new.place(at - self.count)

    def tell(
        self,
        rule: str,
        message: str,
        rows: Rows,
        others: Rows,
        columns: tuple[str, ...] = (),
        values: Sequence[str] = (),
    ) -> None:
        """A finding for each new row (a place in both); {} in the message is the place of the other row."""
        if len(rows):
            messages = [message.format(self.place(o)) for o in others[: LISTED + 1].tolist()]
            self.log.each(rule, messages, rows - self.count, columns, values)

    def later(self, key: npt.NDArray[np.int64], whole: npt.NDArray[np.bool_]) -> tuple[Rows, Rows]:
        """(new rows whose key was met before, the first row with it); rows that are not ``whole`` have no key."""
        place = np.arange(len(key))
        first = pd.Series(np.where(whole, place, len(key))).groupby(key).transform("min").to_numpy()
        at = np.flatnonzero(whole & (first < place) & (place >= self.count))
        at = np.array([a for a in at.tolist() if a - self.count not in self.told], dtype=np.int64)
        return at, first[at] if len(at) else at

    def first_same(self, rows: Rows) -> Rows:
        """For each row the first row that is the same in every column."""
        key = mixed([pd.factorize(self.frame[name], use_na_sentinel=False)[0] for name in self.frame.columns])
        first = pd.Series(np.arange(len(key))).groupby(key).transform("min").to_numpy()
        return np.asarray(first[rows], dtype=np.int64)


def _codes(frame: pd.DataFrame, name: str) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.bool_]]:
    """(a number for each distinct value, whether there is a value); texts by ``lane_key``."""
    values = frame[name]
    if values.dtype.kind == "f":
        step = STEP.get(name, 0.0)
        rounded = np.round(values.to_numpy() / step) if step else values.to_numpy()
        return pd.factorize(rounded)[0].astype(np.int64), values.notna().to_numpy()
    return pd.factorize(values.map(lane_key))[0].astype(np.int64), (values != "").to_numpy()


def _once(table: str, key: tuple[str, ...], pairs: _Pairs, system: System) -> None:
    """A key that one row alone may have."""
    found = [_codes(pairs.frame, name) for name in key]
    whole = np.logical_and.reduce([given for name, (_, given) in zip(key, found, strict=True) if name not in MAY_LACK])
    at, first = pairs.later(mixed([codes for codes, _ in found]), whole)
    meanings = " and ".join(FACTS[table][name].meaning.partition(",")[0] for name in key)
    values = [", ".join(_word(table, pairs.frame, name, a, system) for name in key) for a in at[: LISTED + 1].tolist()]
    pairs.told |= {int(a) - pairs.count for a in at}
    pairs.tell("given twice", f"the same {meanings} is given already in {{}}", at, first, key, values)


def _word(table: str, frame: pd.DataFrame, name: str, at: int, system: System) -> str:
    value, column = frame[name].iloc[at], FACTS[table][name]
    if column.kind == "station":
        return format_station(float(value), system)
    if column.unit_kind in (None, "number", "integer") or column.kind == "integer":
        return f"{value:g}" if isinstance(value, float) else str(value)
    return format_quantity(float(value), column.unit_kind or "number", system)


def _one_road(pairs: _Pairs, _: System) -> None:
    """A project is one road: every row after the first is another."""
    rows = np.arange(max(pairs.count, 1), len(pairs.frame), dtype=np.int64)
    names = [str(pairs.frame["name"].iloc[r]) for r in rows[: LISTED + 1]]
    pairs.tell("more than one road", "a project holds one road, and it stands in {}", rows, 0 * rows, ("name",), names)


def _no_overlap(pairs: _Pairs, system: System) -> None:
    """Layers of one lane, or of all lanes, that lie over one another; a lane's own row over one for all lanes is told."""
    lane = pairs.frame["lane"].map(lambda name: lane_key(name) if name else "").to_numpy()
    found = _overlaps(pairs, pd.factorize(lane)[0], np.ones(len(lane), dtype=bool))
    _tell_overlaps("overlapping layers", "the pavement of these stations is given already in {}", found, pairs, system)
    own, general = lane != "", lane == ""
    covered = _covered(pairs, own, general) if pairs.count else []
    rows = np.array([r for r, _ in covered], dtype=np.int64)
    others = np.array([o for _, o in covered], dtype=np.int64)
    pairs.tell("lane over all lanes", "for its lane it takes the place of {}, which is for all lanes", rows, others, ())


def _covered(pairs: _Pairs, own: npt.NDArray[np.bool_], general: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """New rows of a lane over earlier rows for all lanes, and new rows for all lanes under earlier ones of a lane."""
    begin, end = pairs.frame["begin"].to_numpy(), pairs.frame["end"].to_numpy()
    found = []
    for r in range(pairs.count, len(begin)):
        other = general if own[r] else own
        over = np.minimum(end[: pairs.count], end[r]) - np.maximum(begin[: pairs.count], begin[r]) > SAME
        hit = np.flatnonzero(over & other[: pairs.count])
        if len(hit) and own[r]:
            found.append((r, int(hit[0])))
    return found


def _overlaps(pairs: _Pairs, group: npt.NDArray[np.int64], use: npt.NDArray[np.bool_]) -> list[tuple[int, int]]:
    """(new row, other row before it) of stretches of one group that overlap."""
    begin, end = pairs.frame["begin"].to_numpy(), pairs.frame["end"].to_numpy()
    found: dict[int, int] = {}
    order = [
        int(i) for i in np.lexsort((end, begin, group)) if use[i] and np.isfinite(begin[i]) and np.isfinite(end[i])
    ]
    farthest: int | None = None
    for at in order:  # stretches of a road: a handful
        if farthest is not None and group[at] == group[farthest]:
            if min(end[at], end[farthest]) - begin[at] > SAME:
                later, other = max(at, farthest), min(at, farthest)
                if later >= pairs.count and later - pairs.count not in pairs.told:
                    found.setdefault(later, other)
            farthest = at if end[at] > end[farthest] else farthest
        else:
            farthest = at
    return sorted(found.items())


def _tell_overlaps(rule: str, message: str, found: list[tuple[int, int]], pairs: _Pairs, system: System) -> None:
    rows, others = (np.array([pair[i] for pair in found], dtype=np.int64) for i in (0, 1))
    ends = pairs.frame[["begin", "end"]].to_numpy()
    values = [" to ".join(format_station(float(s), system) for s in ends[r]) for r in rows[: LISTED + 1]]
    pairs.tell(rule, message, rows, others, ("begin", "end"), values)


def _bridges(pairs: _Pairs, system: System) -> None:
    """One bridge twice is an error; two names over one place may be twins, or one over the other."""
    names = pairs.frame["name"].map(lane_key).to_numpy()
    passes = pairs.frame["passes"].to_numpy()
    same = _overlaps(pairs, mixed([pd.factorize(names)[0]]), np.ones(len(names), dtype=bool))
    _tell_overlaps("bridge given twice", "this bridge stands already in {}", same, pairs, system)
    told = {row for row, _ in same}
    for kind in (CARRIES, ""):
        use = passes == CARRIES if kind else passes != CARRIES
        found = [p for p in _overlaps(pairs, np.zeros(len(names), dtype=np.int64), use) if p[0] not in told]
        _tell_overlaps("overlapping bridges", "another bridge stands over these stations in {}", found, pairs, system)
    pairs.told |= {row - pairs.count for row in told}
    _named("bridges")(pairs, system)


def _named(table: str) -> Callable[[_Pairs, System], None]:
    def check(pairs: _Pairs, _: System) -> None:
        codes, wholes = zip(*(_codes(pairs.frame, name) for name in NAMED[table]), strict=True)
        at, first = pairs.later(mixed(list(codes)), np.logical_and.reduce(wholes))
        repeats = pairs.repeats
        kept = np.array([a not in repeats for a in at.tolist()], dtype=bool)
        shown = [str(pairs.frame[NAMED[table][0]].iloc[a]) for a in at[kept][: LISTED + 1]]
        message = f"{FACTS[table].row} of this name stands already in {{}}"
        pairs.tell("name used twice", message, at[kept], first[kept], NAMED[table][:1], shown)

    return check


def _drops(pairs: _Pairs, _: System) -> None:
    """The same drop of the same point in another file, with other readings."""
    if not pairs.count:
        return
    keys = pairs.columns(DROP_KEYS)
    if keys["drop"].isna().all():
        return
    at, first = pairs.later(drop_keys(keys), keys["drop"].notna().to_numpy())
    repeats = pairs.repeats
    kept = np.array(
        [a not in repeats and f < pairs.count for a, f in zip(at.tolist(), first.tolist(), strict=True)], bool
    )
    shown = [f"drop {d:g}" for d in keys["drop"].to_numpy()[at[kept][: LISTED + 1]]]
    pairs.tell("duplicate drop", "this drop of this point stands already in {}", at[kept], first[kept], (), shown)


def _counts(pairs: _Pairs, _: System) -> None:
    """Years whose traffic or share of trucks is unlike that of the years beside them."""
    new = np.arange(len(pairs.frame)) >= pairs.count
    for at in pairs.told:
        new[at + pairs.count] = False
    for jump in jumps(pairs.frame, new):
        message = jump.message.format(*map(pairs.place, jump.others))
        pairs.log.each("count unlike its neighbours", message, np.array([jump.row - pairs.count]), (jump.column,))


SPECIAL: dict[str, Callable[[_Pairs, System], None]] = {
    "counts": _counts,
    "road": _one_road,
    "layers": _no_overlap,
    "bridges": _bridges,
    "cores": _named("cores"),
    "ramps": _named("ramps"),
    "deflections": _drops,
}


def _lane_column(table: str) -> tuple[str, ...]:
    """The column that a word on a lane speaks of; none means the row, because layers without a lane are for all lanes."""
    return () if table == "layers" else ("lane",)


def _lanes(table: str, new: Placed, before: Before, log: Log) -> None:
    """Lanes that the lanes table does not hold; and, for a lanes table, rows before it that lie in none of its lanes."""
    declared = list(before("lanes").frame["lane"])
    if table in SPOKEN and declared:
        for name in [n for n in pd.unique(new.frame["lane"]) if n and n not in declared]:
            at = np.flatnonzero((new.frame["lane"] == name).to_numpy())
            message = f"the lanes table has no lane {name} ({len(at)} rows){_nearest(name, declared)}"
            log.whole("lane not declared", message, at, _lane_column(table), value=str(name))
    if table == "lanes" and not declared:
        named = list(new.frame["lane"])
        for other in SPOKEN:
            held = before(other)
            for name in [n for n in pd.unique(held.frame["lane"]) if n and n not in named]:
                at = np.flatnonzero((held.frame["lane"] == name).to_numpy())
                where = f"{len(at)} rows of {FACTS[other].title.lower()}, first {held.place(int(at[0]))}"
                message = f"no lane here is named {name}, as {where} name theirs{_nearest(name, named)}"
                log.whole("lane not declared", message, np.zeros(1, dtype=np.int64), (), value=str(name))


def _crowded(table: str, new: Placed, before: Before, log: Log) -> None:
    """Counts of more vehicles than the lanes of the road carry; for a lanes table, the counts before it."""
    if table not in ("counts", "lanes"):
        return
    counts, lanes = (new, before("lanes")) if table == "counts" else (before("counts"), new)
    if table == "lanes" and len(before("lanes").frame):
        return
    if counts.frame.empty or lanes.frame.empty:
        return
    rows, most = crowded(counts.frame, lanes.frame)
    for at in rows.tolist():
        where = counts.place(at) if table == "lanes" else lanes.place(0)
        message = (
            f"{counts.frame['daily_traffic'].iloc[at]:,.0f} vehicles a day are more than the {most:,.0f} of both directions"
            f" that the lanes of the road carry at the most ({where})"
        )
        place, columns = (at, ("daily_traffic",)) if table == "counts" else (0, ())
        log.each("more traffic than lanes carry", message, np.array([place]), columns)


def _nearest(name: str, declared: Sequence[str]) -> str:
    """The declared lane that a name is most like, of its own direction where the names tell it; else the lanes there are."""
    letters, way = _letters(name), _way(name)
    own = [d for d in declared if letters and _letters(d) == letters]
    own = own or [d for d in declared if not way or _way(d) in ("", way)]
    near = get_close_matches(name.casefold(), [d.casefold() for d in own], n=1, cutoff=0.5)
    found = next((d for d in own if near and d.casefold() == near[0]), "")
    return f": same as {found}?" if found else f": its lanes are {', '.join(map(str, declared[:8]))}"


def _letters(name: str) -> str:
    """The letters of a lane's name, without its number and the word lane."""
    return re.sub(r"[^a-z]", "", lane_key(name))


def _way(name: str) -> str:
    """The direction that the letters of a lane's name say: a point of the compass, or the right or left side; "" where none."""
    return WAYS.get(_letters(name), "")


def _extent(table: str, new: Placed, before: Before, log: Log, system: System) -> None:
    """The road against what lies on it: stations beyond its limits, and a road far longer than what was surveyed."""
    road = before("road")
    limits = limits_of(new.frame if table == "road" else road.frame)
    if limits is None:
        return
    if table != "road":
        check_on_road(new.frame, FACTS[table], limits, log, system)
        if table in SURVEYED:
            _far_longer(
                limits, {table: new, **{t: before(t) for t in SURVEYED if t != table}}, road.place(0), log, system
            )
        return
    for other in SURVEYED:
        held = before(other)
        beyond = Log("")
        beyond.source_rows = np.arange(len(held.frame), dtype=np.int64)
        check_on_road(held.frame, FACTS[other], limits, beyond, system)
        if beyond.findings:
            rows = np.unique(np.concatenate([c.rows for c in beyond.cells]))
            message = f"{len(rows)} rows of {FACTS[other].title.lower()} lie outside this road, first {held.place(int(rows[0]))}"
            log.whole("outside the road", message, np.zeros(1, dtype=np.int64), ("begin", "end"))
    _far_longer(limits, {t: before(t) for t in SURVEYED}, "", log, system)


def limits_of(road: pd.DataFrame) -> tuple[float, float] | None:
    """First and last station of the road [m]; None where the table does not tell."""
    ends = road[["begin", "end"]].to_numpy()
    return (float(np.min(ends)), float(np.max(ends))) if len(ends) and np.isfinite(ends).all() else None


def far_longer(limits: tuple[float, float], seen: float) -> bool:
    """Whether a road of these ends is at least twice as long as what is seen of it [m], and not by a little."""
    length = limits[1] - limits[0]
    return bool(np.isfinite(seen)) and length >= FAR_LONGER * seen and length >= seen + FAR_LENGTH


def _far_longer(limits: tuple[float, float], held: Mapping[str, Placed], where: str, log: Log, system: System) -> None:
    """A road at least twice as long as all that lies on it, which is a mistyped end; told once, at the road or at the first of them."""
    first, last, who = np.inf, -np.inf, ""
    for placed in held.values():
        stations = [placed.frame[n].to_numpy() for n in ("station", "begin", "end") if n in placed.frame]
        values = np.concatenate(stations) if stations else np.zeros(0)
        inside = np.isfinite(values) & (values >= limits[0]) & (values <= limits[1])
        if inside.any():
            first = min(first, float(values[inside].min()))
            if (top := float(values[inside].max())) > last:
                last, who = top, placed.place(int(np.flatnonzero(values == top)[0]) % len(placed.frame))
    seen = last - first
    if not far_longer(limits, seen):
        return
    ends = f"{format_station(limits[0], system)} to {format_station(limits[1], system)}"
    known = f"all that lies on it is within {format_station(first, system)} to {format_station(last, system)} ({who})"
    road = f"the road of {where}" if where else "the road"
    log.whole("road far too long", f"{road} runs from {ends}, but {known}", np.zeros(1, dtype=np.int64), (), value=ends)
