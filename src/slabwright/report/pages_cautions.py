"""Cautions for people, limits of the methods, and every source with how well it is known."""

from __future__ import annotations

from slabwright.calculation import UNCONFIRMED
from slabwright.report.blocks import Block, Box, Heading, Items, Text, rows_table
from slabwright.report.chapters import AFTER_STAGES, Chapter
from slabwright.report.given import Report
from slabwright.report.text import literal

__all__ = ["CHAPTERS", "cautions", "sources"]

# Common practice, no source: reminders, not a safety plan.
PEOPLE = (
    (
        "Live traffic.",
        "Close lanes by the agency's traffic-control plan, with a buffer and a barrier or shadow vehicle. Wear"
        " high-visibility clothing, face traffic, and never step back across an open lane to look at a joint.",
    ),
    (
        "Deflection testing in traffic.",
        "The test vehicle stops on the road: it needs a moving closure and a shadow vehicle at"
        " every stop. Nobody stands between them, and no hand goes under the plate while the weight is up.",
    ),
    (
        "Silica dust.",
        "Sawing, milling, chipping, coring and blasting old concrete free crystalline silica, which scars lungs."
        " Use water or extraction at the tool, fitted respirators where dust remains, and no dry sweeping.",
    ),
    (
        "Wet cement.",
        "Fresh concrete and grout burn skin and eyes without hurting at first. Wear gloves, boots and eye"
        " protection, rinse at once, and do not kneel in it.",
    ),
    (
        "Blasting and water jets.",
        "Shot rebounds and water at removal pressure cuts. Keep the guards down and people out of the"
        " marked zone, lock out before clearing a blockage, and shield the open lane.",
    ),
    (
        "Heavy plant.",
        "Pavers, mills and trucks do not see a person behind them. Agree routes and signals each day, back up"
        " only with a spotter, and keep clear of a raised truck body under wires and bridges.",
    ),
)
LIMITS = (
    (
        "Thickness equation.",
        "It is empirical: fitted to one road test of two years with one subgrade, one climate and about a"
        " million axles (from memory). Here it is used beyond that, as the trade does.",
    ),
    (
        "Bonded action.",
        "The subtraction of thicknesses and the deflection reduction hold only while overlay and old slab act as"
        " one. Bond is won by surface preparation, weather and curing, which no equation here checks.",
    ),
    (
        "Backcalculation.",
        "One slab on springs, corrected for slab size; a stiff base, a void under mid-slab or a test near a"
        " crack is read as another modulus.",
    ),
    (
        "Remaining life.",
        "It rests on the traffic counted and projected back to construction, and on one fatigue relation; the"
        " printed curve for the condition factor ends at 0.5.",
    ),
    ("Interface shear.", "Beam theory under one wheel; peel at edges, curling and drying shrinkage are not in it."),
    (
        "Suitability.",
        "The limits are the agency's decisions, listed among the inputs; cores and corner tests are samples.",
    ),
    (
        "Cost.",
        "Quantities, and overrun of concrete by itself, times the unit prices of the decisions; no traffic control, user delay or"
        " escalation.",
    ),
)


def cautions(_report: Report) -> list[Block]:
    """Cautions for people and limits of the methods."""
    return [
        Heading("Cautions and limits"),
        Box("Where people can be hurt", PEOPLE),
        Text("Reminders from common practice, no source; they replace no safety plan.", "fine"),
        Heading("Limits of the methods", 2),
        Items(LIMITS, small=True),
    ]


def sources(report: Report) -> list[Block]:
    """Every source that a working or a specification value cites."""
    return [Heading("Sources cited"), *_sources(report)]


def _sources(report: Report) -> list[Block]:
    cited: dict[tuple[str, str], set[str]] = {}
    for stage, workings in report.workings.items():
        for working in workings:
            cited.setdefault((working.source, working.tag), set()).add(f"workings of the {stage} stage")
    for r in report.table("design", "specifications").itertuples(index=False):
        cited.setdefault((report.said(r.source), r.tag), set()).add("specification values")
    if not cited:
        return [Text("No working cites a source: no section was computed.")]
    order = {"looked up": 0, "derived": 1, "from memory": 2, UNCONFIRMED: 3, "common practice": 4}
    ranked = sorted(cited.items(), key=lambda item: (order.get(item[0][1], 5), item[0][0]))
    rows = [[literal(source), tag, "; ".join(sorted(uses))] for (source, tag), uses in ranked]
    memory, unconfirmed = (sum(tag.startswith(words) for _, tag in cited) for words in ("from memory", UNCONFIRMED))
    return [
        Text(
            f"{memory} of {len(cited)} citations are from memory: the document was not opened for them; for"
            f" {unconfirmed} of these no independent method and no looked-up number confirms the equation. The sources of the"
            " limits for suitability stand beside each limit."
        ),
        rows_table("", ("source", "tag", "used in"), rows, report.system),
    ]


CHAPTERS = (
    Chapter(lambda: AFTER_STAGES, cautions, part="report", flows=True),
    Chapter(lambda: AFTER_STAGES + 1.5, sources),
)
