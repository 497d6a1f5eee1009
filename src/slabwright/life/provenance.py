"""Where the numbers of the fatigue life come from: the plate model and its sample in words, laws by their equations."""

from __future__ import annotations

from collections.abc import Callable

from slabwright.bond.provenance import PLATE
from slabwright.evaluation.provenance import of_opening_year
from slabwright.life.cracking import CRACKING_CURVES
from slabwright.materials.fatigue import FATIGUE_LAWS, cracked_slabs_together, cracking_standard_error
from slabwright.records.decisions.life import FATIGUE_WORDS
from slabwright.records.provenance import (
    Cell,
    Copied,
    Decided,
    Derived,
    Fixed,
    Method,
    Of,
    Origin,
    Origins,
    Row,
)
from slabwright.statistics.samples import binomial_interval

__all__ = ["ORIGINS", "SHEETS"]

LIFE = (
    " Damage is Miner's sum over axles, places of the wheel and temperatures of a year; the scatter of life comes from a"
    " Sobol sample over the decisions of the group life."
)
ROOT = " The thickness found is the root of life less target at the reliability."
SHARES = " Shares of the variance of the logarithm of life are by the Sobol method, as the library SALib reckons it."
FITTED = (
    " Stresses are read from a response surface of polynomials fitted to a sample of plates, damage from one fitted to exact"
    " sums; an error is the root of the mean square of what a surface misses of samples left out of its fit, over that of the"
    " stresses themselves."
)


def _by_law(words: str) -> Callable[[Row], Origin]:
    """A method with the equation of the law decided."""
    return lambda row: _of_law(words, row.scene.decision("life.fatigue_law"))


def _of_law(words: str, law: str) -> Method:
    return Method(words, calculations=(FATIGUE_LAWS[FATIGUE_WORDS[law]],))


def _target(row: Row) -> Origin:
    decided = row.scene.decision("life.target_years") > 0
    return Copied(Decided("life.target_years" if decided else "traffic.design_period"))


def _cracked(row: Row) -> Origin:
    curve = CRACKING_CURVES[row.scene.decision("life.cracking_curve")]
    law = FATIGUE_LAWS[FATIGUE_WORDS[row.scene.decision("life.fatigue_law")]]
    return Method(PLATE + LIFE + OLD, calculations=(law, curve, cracked_slabs_together))


PER_YEAR = Derived(
    "product", (Cell("per_truck"), of_opening_year("trucks"), Fixed(365.0, "count", "days in a year")), "damage"
)


YEARS = _by_law(
    PLATE + LIFE + " Years are the quantile of the sample at that reliability, up to the longest life shown."
)
DAMAGE = _by_law(PLATE + LIFE + " The value is the median of the sample.")
CRACKING = _by_law(
    PLATE
    + LIFE
    + " Of each sample the damage after so many years gives the share of the slabs that were sound under the overlay and have"
    " cracked; the value is the quantile of the sample, the median or that at the design reliability."
)
OLD = (
    " The old slab alone is taken at four places of its edge, with the strength and modulus of each age and the trucks that"
    " passed then; the worst place of the bottom and of the top count, as independent causes."
)
FACTOR = (
    " The multiplier is sampled with the inputs by Bayes' rule: the share cracked by the binomial distribution of the slabs"
    " surveyed, the multiplier lognormal about one with the factor life.damage_spread before the survey is seen."
)
CURVE = Method(
    PLATE
    + LIFE
    + " Years at which the share predicted with every input at its median, and as many standard errors as the reliability"
    " asks, reach the cracking level.",
    calculations=(cracking_standard_error,),
)
BAND = Method(
    "The share predicted and 1.645 standard errors either way, between none and all.",
    calculations=(cracking_standard_error,),
)
SLABS = Method(
    "Slabs of the design lane off the decks, by joint spacing; cracked are those with a transverse crack of any severity."
)
EXACT = Method("Of the slabs surveyed and cracked.", calculations=(binomial_interval,))
ERROR = Method(PLATE + FITTED)
INPUT = Method("Of the decisions of the group life; the errors of the surfaces have their own, from the fits.")
BUILT = Derived(
    "greatest",
    (
        Derived(
            "least",
            (Of("thicknesses", "overlay"), Decided("design.thickest")),
            meaning="overlay chosen, within the range",
        ),
        Decided("design.thinnest"),
    ),
)

ORIGINS: Origins = {
    "fatigue_lives": {
        "overlay": Method("One of the thicknesses for which lives are computed."),
        "reliability": Method("One of the reliabilities for which lives are computed."),
        "years": YEARS,
        "curve_years": CURVE,
    },
    "fatigue_thickness": {
        "target": _target,
        "reliability": Copied(Decided("design.reliability")),
        "found": _by_law(PLATE + LIFE + ROOT),
        "aashto": Copied(Of("thicknesses", "bonded")),
        "overlay": BUILT,
        "overlay_years": YEARS,
        "overlay_curve_years": CURVE,
        "median_years": YEARS,
        "level": Copied(Decided("life.cracking_level")),
        "reflected": Copied(Of("reflected_cracks", "share")),
        "all_cracked": Derived(
            "sum",
            (
                Cell("reflected"),
                Derived(
                    "product",
                    (
                        Derived(
                            "difference",
                            (Fixed(1.0, "share", "all slabs"), Cell("reflected")),
                            meaning="slabs without a crack after repair",
                        ),
                        Cell("level"),
                    ),
                    meaning="sound slabs that crack",
                ),
            ),
        ),
        "past_damage": DAMAGE,
        "surface_error": ERROR,
        "damage_error": ERROR,
        "outside": Method("Share of the sample beyond the ends of the stress surface, taken at its ends."),
    },
    "fatigue_laws": {
        "overlay": BUILT,
        "years": lambda row: _of_law(
            PLATE + LIFE + " Every law sums the same stresses with each input at its median.", row["law"]
        ),
        "ratio": lambda row: _of_law(
            PLATE + LIFE + " Damage of a truck by this law over that by the chosen one.", row["law"]
        ),
    },
    "fatigue_sensitivities": {
        "overlay": BUILT,
        "single": INPUT,
        "tests": Method("Tests or cores of the section; for the overlay the decision life.overlay_tests."),
        "variation": Method(
            "That of one value over the root of the tests behind the mean; as decided where no tests lie behind it."
        ),
        **{name: Method(PLATE + LIFE + SHARES) for name in ("first_order", "total", "confidence")},
    },
    "fatigue_damage": {
        "overlay": BUILT,
        "per_truck": DAMAGE,
        "per_year": PER_YEAR,
        "past": DAMAGE,
        "governs": Method(
            PLATE
            + LIFE
            + " The part of its cause in the cracking that ends life, mean of the sample, at its worst place."
        ),
        "stress_error": ERROR,
        "damage_error": ERROR,
    },
    "fatigue_cracking": {
        "overlay": BUILT,
        "year": Method("One of the years for which cracking is computed."),
        "median": CRACKING,
        "low": CRACKING,
        "high": CRACKING,
    },
    "fatigue_effects": {
        "overlay": BUILT,
        "years": _by_law(
            PLATE + LIFE + " Every input is at its median and the plate is computed anew for what is changed."
        ),
        "ratio": Method("Years over those of the row as computed."),
    },
    "fatigue_past": {
        "trucks": Method("Sum over the years since construction of the trucks in the table of loading by year."),
        **{f"damage_{face}_{at}": _by_law(PLATE + OLD) for face in ("bottom", "top") for at in ("middle", "quarter")},
        **dict.fromkeys(("bottom_up", "top_down", "predicted"), _cracked),
        **dict.fromkeys(("predicted_low", "predicted_high"), BAND),
        **dict.fromkeys(("slabs", "cracked"), SLABS),
        **dict.fromkeys(("surveyed", "surveyed_low", "surveyed_high"), EXACT),
        **dict.fromkeys(("factor", "factor_low", "factor_high"), _by_law(PLATE + OLD + FACTOR)),
    },
}

SHEETS = ()
