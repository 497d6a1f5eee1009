"""The bibliography: every document that a number in Slabwright rests on.

A tag says how well a value is known: ``looked up`` in the document named, ``from memory`` (the document
was not opened), ``derived`` (theory worked out here and checked by an independent method), ``common
practice`` (a fact of the trade with no source). A calculation may carry a weaker or stronger tag than its
document, because parts of a document may have been read and others recalled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["SOURCES", "Source", "Tag"]

Tag = Literal["looked up", "from memory", "derived", "common practice"]


@dataclass(frozen=True)
class Source:
    """One document: key, full reference, tag, and its known errata."""

    key: str
    document: str
    tag: Tag
    errata: str = ""


def _source(key: str, document: str, tag: Tag, errata: str = "") -> tuple[str, Source]:
    return key, Source(key, document, tag, errata)


SOURCES: dict[str, Source] = dict([
    _source(
        "guide1993",
        "AASHTO Guide for Design of Pavement Structures, 1993",
        "from memory",
        "The reliability table prints -3.750 for 99.99 %; the normal inverse is -3.719.",
    ),
    _source(
        "liu1989",
        "Liu, Darter & Carpenter, Transportation Research Record 1207, 1989",
        "looked up",
        "The scan prints one sign wrong: the 4.62 term in load is negative in log rho.",
    ),
    _source(
        "thickness_coursework",
        "University assignment in road construction II, thickness and steel worked in full",
        "looked up",
    ),
    _source("ce442_handout", "University course handout CE 442, Example 10.2", "looked up"),
    _source("rigid_guide_pages", "Public university pavement guide, rigid pavement pages", "looked up"),
    _source(
        "westergaard1926",
        "Westergaard, Public Roads 7(2), 1926, with the restatements of 1939 and 1948",
        "from memory",
    ),
    _source(
        "ioannides1985", "Ioannides, Thompson & Barenberg, Transportation Research Record 1043, 1985", "from memory"
    ),
    _source(
        "bradbury1938",
        "Bradbury, Reinforced Concrete Pavements, 1938; Westergaard, Proc. Highway Research Board, 1927",
        "from memory",
    ),
    _source("huang2004", "Huang, Pavement Analysis and Design, 2nd ed., 2004", "from memory"),
    _source("nptel", "Open lecture notes on transportation engineering, lecture 29", "looked up"),
    _source("ce_f244", "University course notes CE F244, numericals on Westergaard's analysis", "looked up"),
    _source("hall1997", "Hall, Darter, Hoerner & Khazanovich, FHWA-RD-96-198, 1997", "from memory"),
    _source(
        "khazanovich2001",
        "Khazanovich, Tayabji & Darter, FHWA-RD-00-086, 2001",
        "from memory",
        "The recalled elastic-solid set for seven sensors failed a check against theory and is replaced by a fit to theory.",
    ),
    _source("crovetti1994", "Crovetti, slab-size factors, quoted in the AASHTO 1998 Supplement", "from memory"),
    _source("crovetti1985", "Crovetti & Darter, void detection (NCHRP 1-21), 1985", "from memory"),
    _source(
        "plate_theory", "Thin plate on a dense-liquid or elastic-solid foundation, exact Hankel integral", "derived"
    ),
    _source("composite_theory", "Composite section theory of layers with shared curvature", "derived"),
    _source("lte_definition", "FHWA-HRT-16-009, 2017, figure descriptions", "looked up"),
    _source(
        "packard1985", "Packard & Tayabji, 1985; Portland Cement Association thickness design, 1984", "from memory"
    ),
    _source("darter1977", "Darter, FHWA-RD-77-111, 1977", "from memory"),
    _source("vesic1969", "Vesic & Saxena, NCHRP Report 97, 1969", "from memory"),
    _source("nchrp1_26", "NCHRP Project 1-26, 1990 and 1992", "from memory"),
    _source("corps_field", "US Army Corps of Engineers field-calibrated slab fatigue, 50 % cracked", "from memory"),
    _source("nchrp1_37a", "NCHRP Project 1-37A, 2004, and the AASHTO edition of 2008", "from memory"),
    _source("salsilli1993", "Salsilli, Barenberg & Darter, 1993", "from memory"),
    _source("majidzadeh1983", "Majidzadeh & Ilves, 1983", "from memory"),
    _source("tepfers1979", "Tepfers & Kutti, ACI Journal, 1979", "from memory"),
    _source("titus2005", "Titus-Glover et al., Transportation Research Record 1919, 2005", "from memory"),
    _source(
        "crcp_slides",
        "Lecture slides on continuous reinforcement quoting AASHTO 1993 Part II section 3.4",
        "looked up",
    ),
    _source(
        "saw_depth_guide",
        "Harrington & Fick, Guide to Concrete Overlays, 3rd ed., 2014, as quoted in a joint-sawing lesson",
        "looked up",
    ),
    _source("ufc3260", "UFC 3-260-02 and 3-260-03, 2001", "looked up"),
    _source(
        "licence_notes",
        "Civil-engineering licence study notes, pavement rehabilitation, worked example 2",
        "looked up",
    ),
    _source("overlay_guide2007", "Guide to Concrete Overlay Solutions, 2007", "looked up"),
    _source("astm_c42", "ASTM C42, strength of drilled cores", "from memory"),
    _source("aci_214_4", "ACI 214.4R, core strength", "from memory"),
    _source(
        "distress_manual",
        "Federal distress identification manual, FHWA-RD-03-031 (revised FHWA-HRT-13-092, 2014)",
        "from memory",
    ),
    _source("tm5_623", "US Army TM 5-623, 1982 (reissued as UFC 3-270-08, 2004)", "looked up"),
    _source("astm_d6433", "ASTM D6433, pavement condition index surveys", "from memory"),
    _source("normal", "Normal, t and binomial distributions", "derived"),
    _source("grubbs1969", "Grubbs, Technometrics 11, 1969; ASTM E178", "from memory"),
    _source("nist_handbook", "NIST/SEMATECH e-Handbook of Statistical Methods", "from memory"),
    _source("killick2012", "Killick, Fearnhead & Eckley, J. American Statistical Association 107, 2012", "from memory"),
    _source("pca1984", "Packard, Thickness Design for Concrete Highway and Street Pavements, 1984", "from memory"),
    _source("garber_hoel", "Garber & Hoel, Traffic and Highway Engineering", "from memory"),
    _source("darter_lane", "Darter et al., lane distribution of trucks, NCHRP Report 277, 1985", "from memory"),
    _source(
        "mechanics_of_materials",
        "Timoshenko & Gere, Mechanics of Materials: shear in built-up beams",
        "from memory",
    ),
    _source("texture_guidance", "FHWA Technical Advisory T 5040.36, 2005", "from memory"),
    _source(
        "bond_practice",
        "Pull-off bond strength specifications 100 to 250 psi (0.7 to 1.7 MPa), trade literature",
        "looked up",
    ),
    _source(
        "timoshenko1925",
        "Timoshenko, Analysis of bi-metal thermostats, J. Optical Society of America 11, 1925",
        "from memory",
    ),
    _source(
        "suhir1986",
        "Suhir, J. Applied Mechanics 53:657, 1986",
        "from memory",
        "The peel is not in equilibrium along the strip, and the exact edge stress is singular: an index, not a stress.",
    ),
    _source(
        "chen_nelson1979", "Volkersen, 1938; Chen & Nelson, IBM J. Research and Development 23, 1979", "from memory"
    ),
    _source("hutchinson_suo1992", "Hutchinson & Suo, Mixed mode cracking in layered materials, 1992", "from memory"),
    _source(
        "patches_3d",
        "Fit to elements of three dimensions (quadratic hexahedra, layers doubled over the patch), derived here",
        "derived",
    ),
    _source(
        "newmark1951",
        "Newmark, Siess & Viest, Proc. Society for Experimental Stress Analysis 9(1), 1951; Girhammar & Gopu,"
        " J. Structural Engineering 119(4), 1993; derived anew here",
        "derived",
    ),
    _source(
        "ioannides_korovesis1990", "Ioannides & Korovesis, Transportation Research Record 1286, 1990", "from memory"
    ),
    _source(
        "ioannides_korovesis1992",
        "Ioannides & Korovesis, J. Transportation Engineering 118(6), 1992; Friberg, 1940",
        "from memory",
        "As recalled the bearing of one joint face is counted; a bar that bears in both faces is softer.",
    ),
    _source("bazant1972", "Bazant, age-adjusted effective modulus, ACI Journal 69(4), 1972", "from memory"),
    _source(
        "aci209",
        "ACI 209R-92, Prediction of creep, shrinkage and temperature effects (equations restated in ACI 209.2R-08, Appendix A)",
        "from memory",
        "The text gives the humidity slope of shrinkage as 0.010, the equation as 0.0102; the equation is used.",
    ),
    _source(
        "en1992",
        "EN 1992-1-1:2004, sections 3.1.2 to 3.1.4 and Annex B; the equations as quoted on public pages",
        "looked up",
    ),
    _source("mc2010", "fib Model Code for Concrete Structures 2010, section 5.1.9", "from memory"),
    _source(
        "b3",
        "Bazant & Baweja, Model B3, ACI SP-194, 2000 (its opening seen, its equations recalled)",
        "from memory",
    ),
    _source(
        "dischinger",
        "Dischinger, Der Bauingenieur 18, 1937: rate-of-creep material; its integrals worked anew here",
        "derived",
    ),
    _source("barber1957", "Barber, Highway Research Board Bulletin 168, 1957", "looked up"),
    _source("ashrae_fundamentals", "ASHRAE Handbook of Fundamentals, psychrometrics", "from memory"),
    _source(
        "menzel1954", "Menzel, causes and prevention of crack development in plastic concrete, 1954", "from memory"
    ),
    _source(
        "uno1998",
        "Uno, ACI Materials Journal 95(4), 95-M34, 1998",
        "from memory",
        "The metric form rounds the constants of the other: 5.275, 17.78 and 4.02 became 5, 18 and 4.",
    ),
    _source("fhwa_rd02_099", "FHWA-RD-02-099, guide for curing of concrete pavement, volume I, 2005", "from memory"),
    _source("astm_c1074", "ASTM C1074, strength of concrete by the maturity method", "from memory"),
    _source(
        "freiesleben1977", "Freiesleben Hansen & Pedersen, maturity and its measurement, 1977 and 1985", "from memory"
    ),
    _source("plowman1956", "Plowman, Magazine of Concrete Research 8(22), 1956", "from memory"),
    _source(
        "schindler2005",
        "Schindler & Folliard, ACI Materials Journal 102-M04, 2005, and Schindler 2004 for the activation energy",
        "from memory",
    ),
    _source("nistir6551", "Bentz, NISTIR 6551, 2000", "from memory"),
    _source(
        "clark_allen1978",
        "Clark & Allen, sky emissivity, 1978, with the cloud multiplier of Walton, NBSIR 83-2655, 1983",
        "from memory",
    ),
    _source(
        "magnus",
        "Magnus formula with the constants of Alduchov & Eskridge, J. Applied Meteorology 35, 1996",
        "from memory",
    ),
    _source("ltpp", "Long-Term Pavement Performance database, US Federal Highway Administration", "looked up"),
    _source("tmy3", "Wilcox & Marion, NREL/TP-581-43156, 2008 (TMY3); the EPW format's list of fields", "looked up"),
    _source(
        "brewer_lagace1988",
        "Brewer & Lagace, Quadratic stress criterion for initiation of delamination, J. Composite Materials 22, 1988",
        "from memory",
    ),
    _source(
        "carol1997",
        "Carol, Prat & Lopez, Normal/shear cracking model, J. Engineering Mechanics 123(8), 1997",
        "from memory",
    ),
    _source("coulomb", "Mohr-Coulomb sliding with a tension cut-off", "common practice"),
    _source(
        "beushausen2008",
        "Beushausen & Alexander, Bond strength development between concretes of different ages, Magazine of Concrete"
        " Research 60, 2008 (abstract)",
        "looked up",
        "The abstract links bond to the overlay's compressive strength; the exponent of the growth is not given there.",
    ),
    _source(
        "delatte2000",
        "Delatte, Williamson & Fowler, Bond strength development with maturity of high-early-strength bonded concrete"
        " overlays, ACI Materials J. 97(2), 2000 (abstract)",
        "looked up",
    ),
    _source("practice", "Common practice, no source", "common practice"),
])
