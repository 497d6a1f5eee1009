"""Where the numbers of the fatigue life come from: the plate model and its sample in words, laws by their equations."""

from __future__ import annotations

from collections.abc import Callable

from slabwright.bond.provenance import PLATE
from slabwright.life.reliability import CRACKING_CURVES
from slabwright.materials.fatigue import FATIGUE_LAWS
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


def _limit(row: Row) -> Origin:
    curve = CRACKING_CURVES[row.scene.decision("life.cracking_curve")]
    return Method(
        "Damage at which the share life.cracking_level of slabs is cracked, by the curve below.", calculations=(curve,)
    )


def _per_year(row: Row) -> Origin:
    year = f"{row.scene.decision('traffic.base_year'):.0f}"
    trucks = Of("traffic", "trucks", (), {"year": year})
    return Derived("product", (Cell("per_truck"), trucks, Fixed(365.0, "count", "days in a year")), "damage")


YEARS = _by_law(
    PLATE + LIFE + " Years are the quantile of the sample at that reliability, up to the longest life shown."
)
DAMAGE = _by_law(PLATE + LIFE + " The value is the median of the sample.")
ERROR = Method(PLATE + FITTED)
INPUT = Method("Of the decisions of the group life; the errors of the surfaces have their own, from the fits.")
BUILT = Derived(
    "greatest",
    (
        Derived(
            "least",
            (Of("thicknesses", "bonded"), Decided("design.thickest")),
            meaning="overlay required, within the range",
        ),
        Decided("design.thinnest"),
    ),
)

ORIGINS: Origins = {
    "fatigue_lives": {
        "overlay": Method("One of the thicknesses for which lives are computed."),
        "reliability": Method("One of the reliabilities for which lives are computed."),
        "years": YEARS,
    },
    "fatigue_thickness": {
        "target": _target,
        "reliability": Copied(Decided("design.reliability")),
        "found": _by_law(PLATE + LIFE + ROOT),
        "aashto": Copied(Of("thicknesses", "bonded")),
        "aashto_years": YEARS,
        "median_years": YEARS,
        "limit": _limit,
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
        "variation": INPUT,
        **{name: Method(PLATE + LIFE + SHARES) for name in ("first_order", "total", "confidence")},
    },
    "fatigue_damage": {
        "overlay": BUILT,
        "per_truck": DAMAGE,
        "per_year": _per_year,
        "past": DAMAGE,
        "governs": Method(PLATE + LIFE + " Counted: the samples that reach the cracking level here first."),
        "stress_error": ERROR,
        "damage_error": ERROR,
    },
}

SHEETS = ()
