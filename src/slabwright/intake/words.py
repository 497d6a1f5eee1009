"""Words of choice columns as crews write them, and the codes of the federal deflection programme.

A word that is not known is proposed by likeness and waits for the engineer; what was said once is remembered. Words in
other languages are common practice, no source.
"""

from __future__ import annotations

import difflib
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

from slabwright.errors import InputError
from slabwright.records.facts import FACTS, OTHER_DISTRESS
from slabwright.records.table import Column

__all__ = ["NOT_KNOWN", "Manner", "Word", "compact", "meanings", "position_of", "read_words"]

Manner = Literal["known", "given", "remembered", "guessed", "kept", "other", "unknown", "empty"]
LEAST_LIKENESS = 0.8  # of letters, from which a word is proposed
NOT_KNOWN = "not known"  # the answer where a file's tests have no position
CLEAR_LEAD = 0.05  # a proposal must be this much likelier than the next choice
YES_NO = {
    "yes": "yes y true t 1 dowelled doweled ja oui si sim da tak verdubelt goujonne",
    "no": "no n false f 0 undowelled undoweled none nein non nao nee nej nei nie ne unverdubelt",
}
# Kinds of distress that crews rate and no method here uses: never taken for a kind whose name merely looks alike.
NOT_USED_TEXT = """popout popouts popoutsperm2 blowup blowups bleeding waterbleeding polishedaggregate polishing dropoff laneshoulderdropoff
    laneshoulderseparation settlement heave bump dip depression rutting ravelling raveling graffiti tyremarks roughness
    constructionjoint polierung setzung ausbruch hebung orniere"""
NOT_USED = frozenset(NOT_USED_TEXT.split())
# Position codes: federal deflection programme (LTPP), jointed J and continuously reinforced C pavements.
SYNONYMS: dict[str, dict[str, str]] = {
    "position": {
        "mid-slab": "midslab center centre interior midpanel slabcenter slabcentre mid basin j1 j6 c1"
        " plattenmitte mitte centredalle centrededalle centrolosa centrodelosa centrolastra centroplaca plaatmidden midden"
        " plattmitt srodekplyty stred stredesky stredsesky",
        "joint approach": "jointapproach approach approachslab j4 c4 japproach transverseapproach vorfuge amontjoint",
        "joint leave": "jointleave leave leaveslab j5 c5 jleave transverseleave nachfuge avaljoint",
        "corner": "corner slabcorner j2 j7 ecke plattenecke coin esquina angolo spigolo canto hoek horn hjorne roh naroznik",
        "edge": "edge slabedge midedge j3 j8 c2 c3 rand plattenrand kante bord borde bordo borda kant krawedz hrana",
    },
    "pavement": {
        "JPCP": "jpcp jointedplain plainjointed jointedplainconcrete jointedplainconcretepavement jpc jpcc plain unbewehrt"
        " bcg nonarmee",
        "JRCP": "jrcp jointedreinforced jointedreinforcedconcrete jointedreinforcedconcretepavement jrc",
        "CRCP": "crcp continuouslyreinforced continuouslyreinforcedconcrete continuouslyreinforcedconcretepavement crc",
    },
    "severity": {
        "none": "none nil 0",
        "low": "low l 1 slight minor gering leicht faible leger leve bajo baja basso bassa baixo baixa licht laag lag lav let"
        " niski niska nizka maly mala",
        "moderate": "moderate m medium med mod 2 mittel moyen moyenne moderado moderada medio media matig middel medel"
        " sredni srednia stredni",
        "high": "high h 3 severe hoch stark schwer fort forte grave alto alta elevado elevada ernstig zwaar hoog hog hoy alvorlig"
        " wysoki wysoka duzy duza vysoka velka",
    },
    "stationing": {"feet": "feet ft us foot", "metres": "metres meters m metric metre meter km metros metri"},
    "direction": {
        "with stationing": "with withstationing up increasing ahead instationingdirection indirectionofstationing withchainage"
        " instationierungsrichtung instationierung mitstationierung mitderstationierung aufsteigend steigend senscroissant"
        " croissant senspkcroissants senspkcroissant sentidocreciente creciente pkcreciente sensocrescente direzionecrescente"
        " sentidocrescente crescente oplopend metkilometrering inkilometreringsrichting medstationering medkilometrering"
        " istationeringsretning stigende stigande rosnaco kierunekrosnacy zgodniezkilometrazem posmerustaniceni"
        " vesmerustaniceni vzestupne",
        "against stationing": "against againststationing down decreasing back againststationingdirection againstchainage"
        " oppositetostationing gegenstationierungsrichtung gegenstationierung gegendiestationierung"
        " entgegenstationierungsrichtung entgegenstationierung absteigend fallend sensdecroissant decroissant"
        " senspkdecroissants senspkdecroissant sentidodecreciente decreciente pkdecreciente sensodecrescente"
        " direzionedecrescente sentidodecrescente decrescente aflopend tegenkilometrering tegenkilometreringsrichting"
        " motstationering motkilometrering modstationering modkilometrering synkende faldende fallande malejaco"
        " kierunekmalejacy przeciwniedokilometrazu protismerustaniceni sestupne",
    },
    "passes": {
        "over the road": "over overtheroad overpass above uber ueber uberfuhrung ueberfuehrung dessus audessus ps"
        " passagesuperieur franchit sobre pasosuperior sopra sovrappasso cavalcavia passagemsuperior boven bovenlangs"
        " overbro overgang nad nadjezd wiadukt pres",
        "under the road": "under undertheroad underpass below carries onroad tragt traegt unter unterfuhrung unterfuehrung"
        " porte dessous audessous pi passageinferieur soporta bajo pasoinferior porta sotto sottopasso suporta sob"
        " passageminferior draagt onder onderdoor bar baerer pod podjezd niesie nese",
    },
    "kind": {
        "on": "on onramp entrance entry einfahrt auffahrt entree entrada entrata ingresso oprit toerit pafart pakjoring"
        " wjazd vjezd najezd",
        "off": "off offramp exit ausfahrt abfahrt sortie salida saida uscita afrit avfart avkjoring frakorsel zjazd vyjezd sjezd",
        "transverse crack": "transversecracking transversecracks tc transvcrack transcrack querriss querrisse"
        " fissuretransversale fissurestransversales fisuratransversal grietatransversal fessuratrasversale fissuratransversal"
        " trincatransversal dwarsscheur tvarspricka tvarspricka tversgaendesprekk pekniecepoprzeczne pricnatrhlina",
        "longitudinal crack": "longitudinalcracking longitudinalcracks lc longcrack langsriss laengsriss langsrisse"
        " fissurelongitudinale fissureslongitudinales fisuralongitudinal grietalongitudinal fessuralongitudinale"
        " trincalongitudinal langsscheur langspricka langsgaendesprekk pekniecepodluzne podelnatrhlina",
        "corner break": "cornerbreaks cb cornercrack eckabbruch eckbruch eckabbruche cassurecoin rupturedecoin roturadeesquina"
        " rotturadangolo quebradecanto hoekbreuk hoekafbraak odlamanienaroza ulomenyroh",
        "durability cracking": "dcracking dcrack durabilitycrack",
        "joint spalling": "spalling jointspall spall spalledjoint kantenabbruch kantenschaden epaufrure epaufrures"
        " desconchado desportillamiento sgretolamento esborcinamento randafbrokkeling",
        "joint seal damage": "sealdamage jointseal",
        "faulting": "fault stufenbildung stufe decalage escalonamiento scalinatura escalonamento trapvorming",
        "patch": "patching patches patchdeterioration flicken flickstelle reparation bacheo parche rattoppo remendo reparatie"
        " lata vysprava lapning",
        "punchout": "punchouts",
        "map cracking": "mapcrack mapcracks",
        "delamination": "delam delaminated",
        "no distress": "none nil nodistresses nothing nothingfound clear keine keinschaden ohnebefund aucun aucune ninguno"
        " ninguna nessuno nenhum geen ingen brak zadne",
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

# Words that leave open which choice they mean: the first is proposed, and waits for the engineer. A joint has two sides.
PROPOSED: dict[str, dict[str, str]] = {
    "position": {
        "joint approach": "joint atjoint fuge anderfuge querfuge fugenrand aujoint junta enjunta najunta giunto algiunto voeg"
        " bijvoeg fog vidfog vedfuge szczelina przyszczelinie dylatacja spara uspary"
    }
}

UNMARKED = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ð": "d", "æ": "ae", "œ": "oe", "ı": "i"})


@lru_cache(maxsize=16384)
def compact(text: str) -> str:
    """Letters and digits only, lower case, without accents: how headings and words are compared."""
    apart = (
        unicodedata.normalize("NFKD", text[:200].replace("N°", "No").replace("n°", "no")).casefold().translate(UNMARKED)
    )
    return re.sub(r"[\W_]+", "", apart)


@cache
def _dictionary(name: str, choices: tuple[str, ...]) -> dict[str, str]:
    known = {compact(choice): choice for choice in choices}
    groups = YES_NO if choices == ("yes", "no") else SYNONYMS.get(name, {})
    for choice, spellings in groups.items():
        if choice in choices:
            for spelling in spellings.split():
                known.setdefault(spelling, choice)
    return known


@cache
def _open_words(name: str) -> dict[str, str]:
    return {word: choice for choice, words in PROPOSED.get(name, {}).items() for word in words.split()}


@dataclass(frozen=True)
class Word:
    """A word of a column as written, the choice it was taken for ("" when none), and how that is known."""

    table: str
    column: str
    written: str
    meant: str
    how: Manner


def read_words(column: Column, uniques: list[str]) -> tuple[list[str], list[bool]]:
    """For each distinct text: the choice it means ("" when none), and whether it is a known word or empty."""
    found = meanings(column, uniques, {})
    return [meant for meant, _ in found], [how in ("known", "empty") for _, how in found]


def position_of(told: str) -> str:
    """The position on the slab that was told for a whole file, "" for one that is not known. Raises InputError for any other word."""
    column = FACTS["deflections"]["position"]
    ((meant,), (known,)) = read_words(column, [told])
    if compact(told) != compact(NOT_KNOWN) and not (meant and known):
        allowed = ", ".join((*column.choices, NOT_KNOWN))
        raise InputError("this is no position of a test on the slab", given=told, allowed=allowed)
    return meant


def meanings(
    column: Column, uniques: Sequence[str], told: Mapping[str, tuple[str, Manner]]
) -> list[tuple[str, Manner]]:
    """For each distinct text the choice it means, and how that is known; ``told`` goes by the compact word."""
    known = _dictionary(column.name, column.choices)
    found: list[tuple[str, Manner]] = []
    for text in uniques:
        key = compact(text)
        if key in told:
            found.append(told[key])
        elif key in known:
            found.append((known[key], "known"))
        elif key in (open_ := _open_words(column.name)):
            found.append((open_[key], "guessed"))
        elif text.strip().lower() in ("", "-", "–", "n/a", "na"):
            found.append(("", "empty"))
        else:
            found.append(_proposed(column, text))
    return found


def _proposed(column: Column, text: str) -> tuple[str, Manner]:
    other = OTHER_DISTRESS in column.choices and column.name == "kind"
    if other and compact(text) in NOT_USED:
        return OTHER_DISTRESS, "kept"
    if guess := _likeliest(column, text):
        return guess, "guessed"
    return (OTHER_DISTRESS, "other") if other else ("", "unknown")


def _likeliest(column: Column, text: str) -> str:
    """The choice that a word most likely means, "" when none is clearly likelier than the others."""
    key, scores = compact(text), dict.fromkeys(column.choices, 0.0)
    for spelling, choice in _dictionary(column.name, column.choices).items():
        if len(key) >= 4 and len(spelling) >= 4 and re.sub(r"\D", "", spelling) == re.sub(r"\D", "", key):
            scores[choice] = max(scores[choice], difflib.SequenceMatcher(None, key, spelling).ratio())
    for choice in column.choices:
        scores[choice] = max(scores[choice], 0.95 * _shortened(text, choice), 0.9 * _initials(key, choice))
    ranked = sorted(scores.values(), reverse=True)
    if ranked[0] < LEAST_LIKENESS or (len(ranked) > 1 and ranked[0] - ranked[1] < CLEAR_LEAD):
        return ""
    return max(scores, key=lambda choice: scores[choice])


def _shortened(text: str, choice: str) -> bool:
    """Whether each word of the text shortens the word of the choice in its place: ``transv. crk``."""
    short, full = (re.findall(r"[a-z]+", t.lower()) for t in (text[:200], choice))
    return len(short) == len(full) > 1 and all(
        len(s) >= 2 and s[0] == f[0] and _within(s, f) for s, f in zip(short, full, strict=True)
    )


def _initials(key: str, choice: str) -> bool:
    """Whether a few letters stand for a choice of several words: ``LTC`` for longitudinal crack."""
    words = re.findall(r"[a-z]+", choice.lower())
    whole = len(words) > 1 and 2 <= len(key) <= 4 and key[:1] == words[0][0] and key[-1:] == words[-1][0]
    return whole and _within(key[:-1], "".join(words[:-1]))


def _within(short: str, full: str) -> bool:
    """Whether the letters come in that order in the longer word."""
    letters = iter(full)
    return all(letter in letters for letter in short)
