"""What each core says of the concrete: its code, its remark, and where the two do not agree."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pandas as pd

from slabwright.records.decisions.evaluation import EvaluationDecisions, names_in
from slabwright.records.material_words import DELAMINATION, named, unseen
from slabwright.records.outcomes.evaluation import CORE_STATES
from slabwright.records.remarks import Remark, decoded, remark
from slabwright.records.table import table
from slabwright.records.words import NOT_EXAMINED

__all__ = ["FOUND", "SOUND", "contested", "core_states", "diseased", "only_found_marked", "settled_names"]

SOUND, FOUND = "none", "found"


def core_states(
    cores: pd.DataFrame, section: npt.NDArray[np.int64], names: npt.NDArray[np.object_], decisions: EvaluationDecisions
) -> pd.DataFrame:
    """The table ``core_states``: one row for each core; ``section`` (n,) is its row among ``names``, -1 for none.

    An empty code is not examined. Where a road's cores are marked when they are delaminated, a core of which somebody wrote a
    code and no mark is whole (common practice, no source); where no core says anything of delamination, or where whole
    cores are marked "no", an empty mark is not examined. A remark by which a sound core was lost or not tested, or that names what the code denies leaves the core not
    examined until the engineer names it in ``evaluation.settled_cores``, which holds for a core that has a code.
    """
    settled = settled_names(decisions)
    implied = only_found_marked(cores)
    rows = [
        _state(core, core["core"] in settled, implied) for _, core in cores.iterrows()
    ]  # remarks are read one at a time
    frame = pd.DataFrame(rows, columns=["material", "delaminated", "conflict"], dtype=object)
    return table(
        CORE_STATES,
        frame.assign(
            core=cores["core"].to_numpy(),
            station=cores["station"].to_numpy(),
            lane=cores["lane"].to_numpy(),
            section=np.where(section >= 0, names[section], "") if len(names) else "",
            note=cores["note"].to_numpy(),
        ),
    )


def settled_names(decisions: EvaluationDecisions) -> list[str]:
    """The cores named in ``evaluation.settled_cores``."""
    return names_in(decisions.settled_cores)


def only_found_marked(cores: pd.DataFrame) -> bool:
    """Whether the road's cores are marked where they are delaminated and only there, so that no mark means whole.

    cores: the table of facts. Common practice, no source. Raises nothing.
    """
    marked = cores["delamination_depth"].notna() | (cores["delaminated"] == "yes")
    return bool(marked.any() and not (cores["delaminated"] == "no").any())


def _state(core: pd.Series, settled: bool, implied: bool) -> tuple[str, str, object]:
    code, material = str(core["material_distress"]), str(core["material_distress"]) or NOT_EXAMINED
    settled = settled and bool(code)  # the code is what is settled: a name alone codes nothing
    delaminated = _delaminated(core, bool(code) and implied)
    if not settled and code in ("", SOUND) and delaminated != FOUND and (words := unseen(str(core["note"]))):
        denied = bool(code) or delaminated != NOT_EXAMINED
        return NOT_EXAMINED, NOT_EXAMINED, _not_seen(words, code) if denied else ""
    says = () if settled else named(str(core["note"]))
    diseases = [d for d in says if d not in (DELAMINATION, code)]
    split = DELAMINATION in says and delaminated != FOUND
    if not diseases and not split:
        return material, delaminated, ""
    conflict = remark(
        "the remark names {named}, the core is coded {code}",
        named=("text", ", ".join([*diseases, *([DELAMINATION] if split else [])])),
        code=("text", code or "nothing"),
    )
    doubtful = bool(diseases) and code in ("", SOUND)
    return NOT_EXAMINED if doubtful else material, NOT_EXAMINED if split else delaminated, conflict


def _not_seen(words: str, code: str) -> Remark:
    said = 'the remark says "{words}", the core is coded {code}'
    return remark(said, words=("text", words), code=("text", code or "whole"))


def _named_in(conflict: str) -> str:
    """What the remark of a conflict names, "" where it names nothing."""
    return str({name: value for name, _, value in decoded(conflict).values}.get("named", ""))


def contested(conflicts: pd.Series) -> tuple[pd.Series, pd.Series]:
    """Which conflicts (n,) leave a disease open, and which a delamination: that of a core not looked at leaves both."""
    said = conflicts.map(_named_in)
    unseen_ = (conflicts != "") & (said == "")
    split = said.str.contains(DELAMINATION, regex=False)
    sick = said.map(lambda names: bool({*names.split(", ")} - {DELAMINATION, ""}))
    return sick | unseen_, split | unseen_


def _delaminated(core: pd.Series, whole: bool) -> str:
    """By depth or mark, the worse of the two; ``whole``: what the absence of both says."""
    depth, mark = float(core["delamination_depth"]), str(core["delaminated"])
    if depth > 0 or mark == "yes":
        return FOUND
    return SOUND if depth == 0 or mark == "no" or whole else NOT_EXAMINED


def diseased(material: pd.Series) -> pd.Series:
    """Which cores have a materials-related distress, by the column ``material`` or a code. (n,) -> (n,)"""
    return ~material.isin(["", SOUND, NOT_EXAMINED])
