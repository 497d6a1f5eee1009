"""Words of choice columns as crews write them, and the codes of the federal deflection programme."""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from slabwright.records.table import Column

__all__ = ["compact", "read_words"]

YES_NO = {"yes": "yes y true t 1 dowelled doweled", "no": "no n false f 0 undowelled undoweled none"}
# Position codes: federal deflection programme (LTPP), jointed J and continuously reinforced C pavements.
SYNONYMS: dict[str, dict[str, str]] = {
    "position": {
        "mid-slab": "midslab center centre interior midpanel slabcenter slabcentre mid basin j1 j6 c1",
        "joint approach": "jointapproach approach approachslab j4 c4 japproach transverseapproach",
        "joint leave": "jointleave leave leaveslab j5 c5 jleave transverseleave",
        "corner": "corner slabcorner j2 j7",
        "edge": "edge slabedge midedge j3 j8 c2 c3",
    },
    "pavement": {
        "JPCP": "jpcp jointedplain plainjointed jointedplainconcrete jointedplainconcretepavement jpc jpcc plain",
        "JRCP": "jrcp jointedreinforced jointedreinforcedconcrete jointedreinforcedconcretepavement jrc",
        "CRCP": "crcp continuouslyreinforced continuouslyreinforcedconcrete continuouslyreinforcedconcretepavement crc",
    },
    "severity": {
        "none": "none nil 0",
        "low": "low l 1 slight minor",
        "moderate": "moderate m medium med 2",
        "high": "high h 3 severe",
    },
    "stationing": {"feet": "feet ft us foot", "metres": "metres meters m metric metre meter"},
    "direction": {
        "with stationing": "with withstationing up increasing ahead",
        "against stationing": "against againststationing down decreasing back",
    },
    "passes": {
        "over the road": "over overtheroad overpass above",
        "under the road": "under undertheroad underpass below carries onroad",
    },
    "kind": {
        "on": "on onramp entrance entry",
        "off": "off offramp exit",
        "transverse crack": "transversecracking transversecracks tc",
        "longitudinal crack": "longitudinalcracking longitudinalcracks lc",
        "corner break": "cornerbreaks cb",
        "durability cracking": "dcracking dcrack durabilitycrack",
        "joint spalling": "spalling jointspall spall",
        "joint seal damage": "sealdamage jointseal",
        "faulting": "fault",
        "patch": "patching patches patchdeterioration",
        "punchout": "punchouts",
        "map cracking": "mapcrack mapcracks",
        "delamination": "delam delaminated",
        "no distress": "none nil nodistresses nothing nothingfound clear",
    },
    "shoulder": {
        "asphalt": "ac bituminous hma asphaltconcrete",
        "tied concrete": "tied tiedpcc",
        "untied concrete": "untied untiedpcc concrete pcc",
        "widened lane": "widened widenedslab",
    },
    "material_distress": {
        "none": "no nil",
        "durability cracking": "dcracking dcrack",
        "alkali-silica reaction": "asr alkalisilica",
        "other": "yes",
    },
    "moisture": {"standard": "std c42", "soaked": "wet saturated", "dried": "dry airdry"},
    "axle": {"single": "singleaxle", "tandem": "tandemaxle", "tridem": "tridemaxle triple"},
}


def compact(text: str) -> str:
    """Letters and digits only, lower case, no accents of compatibility: how headings and words are compared."""
    return re.sub(r"[\W_]+", "", unicodedata.normalize("NFKC", text[:200]).lower())


@cache
def _dictionary(name: str, choices: tuple[str, ...]) -> dict[str, str]:
    known = {compact(choice): choice for choice in choices}
    groups = YES_NO if choices == ("yes", "no") else SYNONYMS.get(name, {})
    for choice, spellings in groups.items():
        if choice in choices:
            for spelling in spellings.split():
                known.setdefault(spelling, choice)
    return known


def read_words(column: Column, uniques: list[str]) -> tuple[list[str], list[bool]]:
    """For each distinct text: the choice it means ("" when none), and whether it was understood."""
    known = _dictionary(column.name, column.choices)
    keys = [compact(text) for text in uniques]
    empty = [text.strip().lower() in ("", "-", "–", "n/a", "na") for text in uniques]
    meant = ["" if blank and key not in known else known.get(key, "") for key, blank in zip(keys, empty, strict=True)]
    return meant, [bool(word) or blank for word, blank in zip(meant, empty, strict=True)]
