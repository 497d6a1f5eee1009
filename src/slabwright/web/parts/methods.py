"""How the numbers of the plate model and of the lives came about, where no single equation gives them."""

from __future__ import annotations

__all__ = ["BESIDE", "METHODS"]

PLATE = (
    "Computed by the plate model: two plates on a dense liquid that share deflection and are joined by an interface of shear"
    " stiffness, with joints as springs and contact that may be lost."
)
STRIP = " The strip theories below are closed forms beside it, for a pencil: they know no wheels, corners or weight."
LIFE = (
    " Damage is Miner's sum over axles, places of the wheel and temperatures of a year; the scatter of life comes from a"
    " Sobol sample over the decisions of the group life."
)

# By table: what stands in place of an equation.
METHODS = {
    "bond_verdicts": PLATE + " The verdict is that of the worst place under the worst cause." + STRIP,
    "bond_places": PLATE
    + " Means are over the averaging length from the edge; peel follows from the shear by statics of the overlay (Suhir 1986,"
    " from memory); shear strength is taken as a multiple of tensile strength (Delatte and others, as reported in trade"
    " literature)." + STRIP,
    "bond_map": PLATE + " Values at edges are elastic peaks, an index for comparing designs.",
    "bond_deflections": PLATE
    + " The load of the deflection tests stands on its round plate at each place, on full support. Doubt begins half way"
    " from bonded to loose.",
    "fatigue_lives": PLATE + LIFE + " Years are the quantile of the sample at that reliability, up to 60.",
    "fatigue_thickness": PLATE
    + LIFE
    + " The thickness found is the root of life less target at the reliability. The handbook's is that of the overlay stage"
    " (AASHTO Guide for Design of Pavement Structures, 1993, from memory).",
    "fatigue_laws": PLATE
    + " Every law sums the same stresses with each input at its median; sources stand with the laws in the catalogue of"
    " calculations.",
    "fatigue_sensitivities": PLATE
    + LIFE
    + " Shares of the variance of the logarithm of life are by the Sobol method, as the library SALib reckons it.",
    "fatigue_damage": PLATE + LIFE + " Values are medians of the sample.",
}

# By table and column: calculations that the stage has worked for the section, shown beside the model.
BESIDE = {
    ("bond_verdicts", "required"): ("edge_shear_suhir", "edge_peel_suhir"),
    ("bond_verdicts", "strain"): ("relieved_stress",),
    ("bond_verdicts", "energy"): ("strip_forces",),
    ("bond_places", "peak_shear"): ("edge_shear_suhir",),
    ("bond_places", "mean_shear"): ("edge_shear_suhir",),
    ("bond_places", "mean_peel"): ("edge_peel_suhir",),
    ("bond_places", "required"): ("edge_shear_suhir", "edge_peel_suhir"),
}
