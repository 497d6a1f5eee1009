"""A form for every calculation of the catalogue; its address holds the inputs and can be shared."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from urllib.parse import urlencode

from nicegui import app, ui

from slabwright import catalogue, units
from slabwright.errors import SlabwrightError
from slabwright.web.frame import shell
from slabwright.web.parts.field import entry, pick
from slabwright.web.parts.html import act, element, text

__all__ = ["draw_calculation", "draw_catalogue"]


def _system() -> units.System:
    return "metric" if app.storage.user.get("units") == "metric" else "us"


def _switch() -> None:
    other = "metric" if _system() == "us" else "us"

    def change() -> None:
        app.storage.user["units"] = other
        ui.navigate.reload()

    with element("div", cls="top"):
        ui.link("Roads", "/roads")
        ui.link("All calculations", "/calculations")
        act(f"Show {'metric' if other == 'metric' else 'US customary'} units", change)


def draw_catalogue() -> None:
    """The list of calculations, found by typing."""
    with shell("Calculations"):
        _switch()
        text("h1", "Calculations")
        text("p", "Each is one published equation with its source, bounds and checks.")
        listing = ui.element("div").style("width: 100%")

        def fill(wanted: str) -> None:
            listing.clear()
            with listing:
                _listing(wanted.strip().lower())

        entry("Find", "", fill, hint="words of the title, the name or the source")
        fill("")


def _listing(wanted: str) -> None:
    room, holder = "", None
    for name, calculation in catalogue.calculations().items():
        if wanted and wanted not in f"{name} {calculation.title} {calculation.citation}".lower():
            continue
        if calculation.room != room:
            room = calculation.room
            text("h2", room.capitalize())
            holder = element("ul")
        assert holder is not None
        with holder, element("li"):
            ui.link(calculation.title, f"/calculations/{name}")
            text("span", f" {calculation.citation} [{calculation.known}]", "quiet")


def draw_calculation(name: str, given: Mapping[str, str]) -> None:
    """One calculation: inputs, result, working, checks."""
    system = _system()
    calculation = catalogue.find(name)
    about = catalogue.describe(calculation, system)
    values = {i["name"]: given.get(i["name"], "") for i in about["inputs"]}
    with shell(calculation.title):
        _switch()
        text("h1", calculation.title)
        text("p", f"{about['source']} [{about['tag']}]", "quiet")
        text("pre", about["equation"], "working")
        with element("div", cls="desk"):
            with element("div", cls="panel"):
                text("h2", "Inputs")
                for item in about["inputs"]:
                    _field(item, values)
                act(
                    "Calculate",
                    lambda: ui.navigate.to(f"/calculations/{name}?{urlencode({k: v for k, v in values.items() if v})}"),
                    main=True,
                )
            with element("div", cls="panel"):
                text("h2", "Result")
                _result(name, {k: v for k, v in values.items() if v}, system)
        _checks(about)


def _field(item: Mapping[str, Any], values: dict[str, str]) -> None:
    key = item["name"]
    label = f"{item['meaning']} ({key})"
    if item.get("choices"):
        values[key] = values[key] or item["choices"][0]
        pick(label, item["choices"], values[key], lambda t: values.update({key: t}))
        return
    unit = units.label(item["unit"])
    hint = f"{item['low']:.6g} to {item['high']:.6g} {unit}" + (
        f"; {item['default']:.6g} if left empty" if item["default"] is not None else ""
    )
    hint += "; several values separated by commas" if item.get("many") else ""
    entry(label, values[key], lambda t: values.update({key: t}), hint=hint)


def _result(name: str, given: dict[str, str], system: units.System) -> None:
    if not given:
        text("p", "Give the inputs, with or without units, and calculate.", "quiet")
        return
    try:
        found = catalogue.evaluate(name, dict(given), system)
    except SlabwrightError as refusal:
        text("p", str(refusal), "bad").props["role"] = "alert"
        return
    for key, made in found["outputs"].items():
        shown = ", ".join(f"{v:.6g}" for v in (made["value"] if isinstance(made["value"], list) else [made["value"]]))
        text("p", f"{key} = {shown} {units.label(made['unit'])}").style("font-size: 1.2rem")
    text("pre", found["working"], "working")
    act(
        "Copy as text",
        lambda: ui.run_javascript(
            "navigator.clipboard.writeText(document.querySelector('.panel pre.working').textContent)"
        ),
    )


def _checks(about: Mapping[str, Any]) -> None:
    text("h2", "Checks that cover it")
    with element("ul"):
        for check in about["checks"]:
            text("li", f"{check['id']}: {check['title']} ({check['kind']}; {check['source']}; {check['tag']})")
