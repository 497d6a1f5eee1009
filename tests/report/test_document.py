"""The report as a reader holds it: what is on its pages, and what can never be."""

import re
import socket
import warnings
from dataclasses import replace
from importlib import resources
from types import SimpleNamespace

import pypdf
import pytest

from slabwright import report
from slabwright.calculation import UNCONFIRMED
from slabwright.catalogue import calculations
from slabwright.errors import InputError, MissingFact
from slabwright.records.decisions import from_plain, to_plain
from slabwright.records.decisions.economics import EconomicsDecisions
from slabwright.records.stage import RunContext
from slabwright.report import pages_data, pages_design
from slabwright.report.blocks import Items, Text
from slabwright.report.chapters import blocks_by_chapter
from slabwright.report.document import drawings
from slabwright.report.pages_answer import answer
from slabwright.stages import stage_named
from tests.pipeline import decided, without
from tests.report.conftest import carried, pages

SYSTEMS = ("us", "metric")
PAPER = {"us": (612, 792), "metric": (595.28, 841.89)}  # ANSI A and ISO 216 A4, in points
LONG = "very long remark " * 600
HOSTILE = {
    "NB1": "<script>alert(1)</script>",
    "NB2": '#eval("1+1") $x^2$ *b* _i_ @ref \\ `r`',
    "NB3": "=cmd|' /C calc'!A0",
    "SB1": "שלום דרך",
    "SB2": "x" * 10_000,
    "SB3": LONG,
}


def joined(text: str) -> str:
    """Text without the white space and soft breaks that typesetting adds."""
    return re.sub(r"[\s\u200b\u00ad]", "", text)


def workings_begin(texts: list[str]) -> int:
    return next(i for i, text in enumerate(texts) if "Each sheet gives the equation" in text)


def data_begin(texts: list[str]) -> int:
    return next(i for i, text in enumerate(texts) if "Files loaded" in text)


@pytest.mark.parametrize("system", SYSTEMS)
def test_page_one_gives_every_section_its_verdict_and_the_total(built, demo, system):
    first = joined(built[system].pages[0])
    for s in demo.results["evaluation"].tables["verdicts"].itertuples():
        assert re.search(rf"{s.section}(with|against)[\d+.]+{joined(s.verdict)}", first), s.section
    total = demo.results["economics"].tables["bid_items"]["amount"].sum()
    assert f"{float(f'{total:.3g}'):,.0f}(EUR,pricesof2026)" in first
    assert f"{total:,.0f}" not in first
    assert "licensedengineer" in first


def test_no_sum_is_told_before_the_engineer_stands_by_the_prices(record, demo):
    bare = replace(demo.decisions, economics=EconomicsDecisions())
    words = told(answer(replace(record, decisions=bare, results=carried(demo.facts, bare))))
    assert "No sum of money is told: the unit prices are placeholders until the engineer confirms them." in words
    assert "items of the bid come to" in told(answer(record))
    assert "items of the bid come to" not in words


def test_page_one_shows_thickness_in_the_units_asked_for(built, demo):
    """1 in = 25.4 mm exactly."""
    metres = demo.results["design"].tables["thicknesses"]["overlay"].max()
    assert f"{metres / 0.0254:.2f} in" in built["us"].pages[0]
    assert f"{metres * 1000:.0f} mm" in built["metric"].pages[0]


@pytest.mark.parametrize("system", SYSTEMS)
def test_paper_is_that_of_the_system(built, system):
    box = pypdf.PdfReader(built[system].path).pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(PAPER[system], abs=0.1)


@pytest.mark.parametrize("system", SYSTEMS)
def test_nothing_missing_shows_as_a_programmers_word(built, appendix, system):
    texts = appendix[system].pages
    assert not re.search(r"\b(nan|NaN|None|inf|NaT)\b", "\n".join(texts))
    assert not re.search(r"\b(nan|NaN|None|inf|NaT)\b", "\n".join(built[system].pages))
    outside = built[system].pages + texts[: workings_begin(texts)] + texts[data_begin(texts) :]
    assert not re.search(r"[{}]", "\n".join(outside))  # braces only as brackets of published equations


def test_no_inch_pound_unit_heads_a_metric_table(built, appendix):
    texts = built["metric"].pages + appendix["metric"].pages
    assert not re.search(r"\[(in|ft|mi|mil|psi|pci|lb|kip|ft²|yd²|yd³|1/mi|°F)\]", "\n".join(texts))
    assert "[mm]" in texts[0]


def test_every_repair_working_and_decision_is_in_the_appendix(appendix, demo, record):
    whole = joined(" ".join(appendix["us"].pages))
    repairs = demo.results["repair"].tables["repairs"]
    assert len(repairs) > 100
    assert [r for r in repairs["repair"] if r not in whole] == []
    workings = [w for found in record.workings.values() for w in found]
    assert len(workings) > 50
    for w in workings:
        assert joined(w.title) in whole
        assert joined(w.source) in whole
        assert all(joined(value) in whole for _, value in w.results)
    assert "design.bond_strength" in whole


def test_files_carry_their_digest(appendix, demo):
    whole = joined(" ".join(appendix["us"].pages))
    assert [s.name for s in demo.sources if s.sha256 not in whole] == []


def test_doubts_and_what_was_done_are_told(built, appendix):
    whole = " ".join(appendix["us"].pages)
    assert "sensor 5 seems dead or stuck" in whole
    assert "rejected" in whole
    assert "47 warnings accepted" in " ".join(built["us"].pages[:2])
    assert "silica" in " ".join(built["us"].pages)


def test_no_doubts_and_no_files_are_said_in_a_sentence(record):
    said = [b.text for b in pages_data.data(replace(record, findings=(), sources=())) if isinstance(b, Text)]
    assert any("No value was found suspicious" in t for t in said)
    assert any("No files are recorded" in t for t in said)


def test_same_input_same_bytes_without_a_connection(built, given, tmp_path, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise AssertionError("the report opened a connection")

    monkeypatch.setattr(socket, "socket", refuse)
    report.build(tmp_path / "again.pdf", **given)
    assert (tmp_path / "again.pdf").read_bytes() == built["us"].path.read_bytes()


def test_template_names_no_package_and_no_address():
    template = resources.files("slabwright.report").joinpath("templates/report.typ").read_text()
    assert "json(" in template
    assert re.findall(r"#?import|@preview|https?:", template) == []


@pytest.fixture(scope="module")
def hostile(given, demo, tmp_path_factory):
    """The demo road with names and remarks that try to be markup, formulas, books, or to run the other way."""
    changed = {
        name: getattr(demo.facts, name).assign(lane=getattr(demo.facts, name)["lane"].map(HOSTILE))
        for name in ("lanes", "ramps", "deflections", "cores", "distresses")
    }
    changed["road"] = demo.facts.road.assign(name="<b>Road</b> #let x = 1 {{ y }} \x00\x1b[31m " + LONG)
    changed["bridges"] = demo.facts.bridges.assign(name=["#panic()", "عبور الجسر"])
    facts = type(demo.facts)(**{**vars(demo.facts), **changed})
    results, folder = carried(facts, demo.decisions), tmp_path_factory.mktemp("hostile")
    texts: list[str] = []
    begins: list[tuple[str, float]] = []
    for part in ("report", "appendix"):
        path = folder / f"{part}.pdf"
        set_hostile(path, given, facts, results, part)
        texts += [page.extract_text(visitor_text=noted(begins)) for page in pypdf.PdfReader(path).pages]
    return SimpleNamespace(pages=texts, begins=begins)


def set_hostile(path, given, facts, results, part):
    report.build(
        path,
        **{
            **given,
            "road": facts,
            "results": results,
            "alternative": "=1+1 #x",
            "engineer": "<i>me</i>",
            "part": part,
            "findings": [report.FindingLine("rule #1", "accepted", "a" * 300 + ".csv", 1, LONG)],
        },
    )


def noted(begins):
    def note(text, matrix, place, _font, _size):
        begins.append((text.strip(), place[4] * matrix[0] + matrix[4]))

    return note


def test_names_of_others_are_literal_text(hostile):
    texts = hostile.pages
    whole = joined(" ".join(texts))
    for text in (
        "<script>alert(1)</script>",
        '#eval("1+1")$x^2$*b*_i_@ref\\`r`',
        "=cmd|'/Ccalc'!A0",
        "#panic()",
        "<i>me</i>",
    ):
        assert joined(text) in whole, text
    assert "<b>Road</b>#letx=1{{y}}" in joined(texts[0])
    assert "\x1b" not in "".join(texts)
    assert len(texts) < 110  # 53 with plain names: a book in every lane name may not make a book of the report


def test_nothing_runs_over_the_edge_of_the_paper(hostile):
    outside = [(t, x) for t, x in hostile.begins if t and not -1 <= x <= 612]
    assert len(hostile.begins) > 1000
    assert outside == []


def test_road_refused_everywhere_says_no(given, demo, tmp_path):
    cores = demo.facts.cores.assign(material_distress="durability cracking")
    facts = type(demo.facts)(**{**vars(demo.facts), "cores": cores})
    results = carried(facts, demo.decisions)
    assert set(results["evaluation"].tables["verdicts"]["verdict"]) == {"not suited"}
    report.build(tmp_path / "no.pdf", **{**given, "road": facts, "results": results})
    texts = pages(tmp_path / "no.pdf")
    assert "No. No section of this road suits a bonded overlay" in texts[0]
    assert "materials-related distress in cores 100 %" in texts[0]
    whole = " ".join(texts)
    assert "No repair is needed" in whole
    assert "No overlay is designed" in whole
    assert not re.search(r"\b(nan|None)\b", whole)


def test_page_one_says_what_was_not_examined_and_what_is_assumed(record, demo):
    """Blocks of page one of roads without cores, and with them assumed by name."""
    bare = without(demo.facts, "cores")
    results = carried(bare, demo.decisions)
    words = told(answer(replace(record, road=bare, results=results)))
    assert "Not yet. No section is found to suit" in words
    assert re.search(r"A5[^:]*not judged: not examined: materials-related distress in cores", words)
    assert "no core was examined" in words
    decisions = decided(assume_without_cores="yes", reason_to_assume="cores follow")
    results = carried(bare, decisions)
    words = told(answer(replace(record, road=bare, decisions=decisions, results=results)))
    assert "this rests on what was assumed and not examined" in words
    assert re.search(r"Sound concrete, without a core: assumed in .*cores follow; without it: not judged", words)
    assert re.search(r"Durability factor 1:.* at 0\.8 it needs", words)


@pytest.mark.parametrize("column", ["daily_traffic", "truck_share"])
def test_page_one_of_a_road_without_trucks_says_that_nothing_asks_for_an_overlay(record, demo, column):
    """Eight sections suit one; none is refused for it, none has a bond to warn of, and no logarithm of nothing is taken."""
    facts = replace(demo.facts, counts=demo.facts.counts.assign(**{column: 0.0}))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        results = carried(facts, demo.decisions)
    words = told(answer(replace(record, road=facts, results=results)))
    assert "No overlay is found needed: no truck is counted" in words
    assert "8 sections would suit one" in words
    assert "No section of this road suits" not in words
    assert "bond demand from wheels" not in words
    assert "the overlay needs" not in words  # of what is assumed: nothing moves a thickness that nobody asks for
    assert "no answer" not in words
    designed = results["design"].tables["thicknesses"].query("verdict != 'not suited'")
    assert set(designed["note"]) == {"no truck is counted in the design lane: traffic asks for no thickness"}
    assert results["design"].tables["assumption_effects"].empty


def test_page_one_says_why_suited_sections_have_no_overlay(record):
    design = record.results["design"]
    frame = design.tables["thicknesses"]
    frame = frame.assign(**dict.fromkeys(frame.loc[:, "required_slab":].select_dtypes("number"), float("nan")))
    frame["note"] = frame["verdict"].map(lambda v: "no answer here" if v != "not suited" else "refused")
    results = {**record.results, "design": replace(design, tables={**design.tables, "thicknesses": frame})}
    words = told(answer(replace(record, results=results)))
    assert "No overlay is found, though 8 sections suit one: no answer here." in words


def test_the_first_sentence_says_whose_yes_it_is_whatever_is_built_on(record, demo):
    """By remaining life the demo's sections need over an inch more than by condition: the methods do not agree."""
    for method in ("not decided", "AASHTO 1993", "mechanistic analysis"):
        chosen = from_plain({**to_plain(demo.decisions), "basis.method": method})
        first = told(answer(replace(record, decisions=chosen)))
        assert "Yes by AASHTO 1993, while the methods do not agree: in 8 of 10 sections" in first


def test_the_first_sentence_says_where_an_overlay_is_too_thick_to_be_a_bonded_one(record, demo):
    """A2 and W2 have 4.5 and 5 in: more than 4 in, where that is the most a bonded overlay is considered for."""
    thin = from_plain({**to_plain(demo.decisions), "design.thickest": 0.1016})
    words = told(answer(replace(record, decisions=thin)))
    assert "in 8 of 10 sections; 2 of these thicker than a bonded overlay is considered for." in words
    assert "thicker than a bonded" not in told(answer(record))


def test_page_one_names_what_the_plan_cannot_tell_yet(record, demo):
    """The demo gives no width of shoulder or ramp, and nobody has decided what is built in A4 and W4."""
    words = told(answer(record))
    assert "W4 and A4: what is built there is not decided, and not among the items." in words
    assert re.search(r"Inside shoulder, outside shoulder.*: size or kind not known", words)
    sizes = {"refused": "leave out", "inside_shoulder": 1.2, "outside_shoulder": 3.0, "ramp_width": 4.8}
    settled = from_plain({**to_plain(demo.decisions), **{f"design.{name}": v for name, v in sizes.items()}})
    design = stage_named("design")
    results = {**demo.results, "design": design.compute(design.given(demo.facts, settled, demo.results, RunContext()))}
    words = told(answer(replace(record, decisions=settled, results=results)))
    assert "what is built there is not decided" not in words
    assert "flush with the old grade" not in words
    inlaid = from_plain({**to_plain(settled), "design.refused": "mill and inlay", "design.inlay_depth": 0.0762})
    design_of = {**demo.results, "design": design.compute(design.given(demo.facts, inlaid, demo.results, RunContext()))}
    thin = told(answer(replace(record, decisions=inlaid, results=design_of)))
    assert "W4 and A4: built flush with the old grade; that it carries the traffic is not computed." in thin
    assert "size or kind not known" not in words


def test_page_one_names_a_clearance_that_is_unknown(record, demo):
    facts = replace(demo.facts, bridges=demo.facts.bridges.assign(clearance=float("nan")))
    words = told(answer(replace(record, road=facts, results=carried(facts, demo.decisions))))
    assert "Snuffer Street Overpass: the clearance is unknown" in words
    assert "Wick Slough Bridge: its deck, 170 ft, is in no section" in words


def test_page_one_tells_of_cracks_left_and_of_laws_beyond_their_data_without_the_long_stages(record, demo):
    words = told(answer(record))
    left = demo.results["repair"].tables["reflected_cracks"]["left"].sum()
    assert f"Cracks left by the repairs: {left:.0f} slabs keep a crack that works" in words
    assert re.search(r"AASHTO 1993 thickness equation: used beyond its data in W1, .*against 0 to 10 million", words)
    assert "mechanistic analysis of cracking" not in words


def test_page_one_names_the_equations_that_nothing_confirms(record):
    """J by its classes, the joints and cracks factor: remembered, with no second source among the checks."""
    [(lead, words)] = answer(record)[-1].items
    assert lead.startswith("Nothing among the checks confirms")
    deciding = [w for stage in ("evaluation", "repair", "design") for w in record.workings[stage]]
    titles = {clause(w.title).lower() for w in deciding if w.tag == "from memory, unconfirmed"}
    assert titles
    assert all(title in words.lower() for title in titles)
    assert "thickness equation" not in words  # confirmed by the printed tables of the guide


def test_page_one_names_unconfirmed_equations_that_no_sheet_prints(record):
    """Behind strength, condition factors and trucks of the design lane, as the evaluation calls them by code."""
    unprinted = (
        "rupture_from_modulus", "fatigue_factor", "durability_factor", "lane_share_of_trucks"
    )  # fmt: skip
    found = calculations()
    printed = {w.name for sheets in record.workings.values() for w in sheets}
    [(_, words)] = answer(record)[-1].items
    for name in unprinted:
        assert found[name].known == UNCONFIRMED, name
        title = clause(found[name].title)
        assert title[:1].lower() + title[1:] in words, name
    assert not set(unprinted) <= printed


def clause(title):
    """The name of an equation without what its docstring adds."""
    return title.split(": ")[0].split(". ")[0].split("; ")[0]


def told(blocks):
    """The words of paragraphs and lists."""
    lines = [b.text for b in blocks if isinstance(b, Text)]
    lines += [f"{lead} {said}" for b in blocks if isinstance(b, Items) for lead, said in b.items]
    return "\n".join(lines)


def test_alternatives_stand_side_by_side(appended):
    """127 mm is 5 in and 50.8 mm is 2 in exactly; 100 m is 328.08 ft."""
    row = {
        "alternative": "thicker",
        "section": "W1",
        "begin": 0.0,
        "end": 100.0,
        "verdict": "suited",
        "bonded": 0.0508,
        "overlay": 0.127,
        "years": 40.0,
        "years_gained": 30.0,
        "reduction": 0.5,
        "cost": 1234567.0,
    }
    last = pages_design.overlay(replace(appended, comparison=[row]))[-1]
    assert last.rows == (
        (
            "thicker",
            "W1",
            "0+00.0",
            "3+28.1",
            "suited",
            "2.00 in",
            "5.00 in",
            "40.0 years",
            "30.0 years",
            "50.0 %",
            "1,234,567",
        ),
    )


def test_missing_stage_is_one_sentence_and_leaves_the_old_file(given, demo, tmp_path):
    path = tmp_path / "r.pdf"
    path.write_bytes(b"old")
    three = {k: v for k, v in demo.results.items() if k != "design"}
    with pytest.raises(MissingFact, match="needs the result of the design stage"):
        report.build(path, **{**given, "results": three})
    assert path.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [path]


def test_place_that_cannot_hold_a_file_is_refused_before_any_work(given, tmp_path):
    with pytest.raises(InputError, match="folder for the report does not exist"):
        report.build(tmp_path / "absent" / "r.pdf", **given)
    with pytest.raises(InputError, match="is a folder"):
        report.build(tmp_path, **given)
    assert list(tmp_path.iterdir()) == []


def test_unknown_system_of_units_is_refused(given, tmp_path):
    with pytest.raises(InputError, match="units are us or metric"):
        report.build(tmp_path / "r.pdf", **{**given, "system": "imperial"})


def test_road_without_bridges_ramps_or_a_name_is_drawn_and_told(record, demo):
    empty = {name: getattr(demo.facts, name).iloc[:0] for name in ("bridges", "ramps", "road", "alignment")}
    facts = type(demo.facts)(**{**vars(demo.facts), **empty})
    made = replace(record, road=facts, results=carried(facts, demo.decisions))
    assert made.road_name == "Road without a name"
    assert "strip_1" in drawings(made)
    appendix = replace(made, part="appendix")
    told = [b.text for chapter in blocks_by_chapter(appendix) for b in chapter if isinstance(b, Text)]
    assert "Grade raise at bridges: no rows." in told


def test_a_layer_without_a_year_does_not_end_the_report(record, demo):
    """Its sections have no remaining life; a number that rests on it elsewhere has no working, and the pages stand."""
    layers = demo.facts.layers.copy()
    layers.loc[layers.index[-1], "year_built"] = float("nan")
    facts = replace(demo.facts, layers=layers)
    bare = replace(record, road=facts, results=carried(facts, demo.decisions))
    for part in ("report", "appendix"):
        assert blocks_by_chapter(replace(bare, part=part))
