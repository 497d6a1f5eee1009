"""The server: pages and the HTTP interface over one folder of projects."""

from __future__ import annotations

import secrets
import socket
import sys
from collections.abc import Sequence
from contextlib import suppress
from importlib import import_module
from pathlib import Path
from tempfile import mkdtemp

from fastapi import FastAPI, Request, Response
from fastapi.responses import RedirectResponse
from nicegui import ui
from nicegui.storage import Storage
from starlette.middleware.gzip import GZipMiddleware

from slabwright import units
from slabwright.errors import SlabwrightError
from slabwright.figures.layer_tables import strip_layers
from slabwright.figures.road import road_of
from slabwright.stages import plan, stages
from slabwright.web.access import guard
from slabwright.web.access.accounts import Accounts
from slabwright.web.access.audit import Audit, audit_of
from slabwright.web.access.origin import is_loopback
from slabwright.web.access.signed import SIGNED
from slabwright.web.access.sockets import settings
from slabwright.web.api import routes as api
from slabwright.web.calculations import draw_calculation, draw_catalogue
from slabwright.web.frame import draw_page, shell
from slabwright.web.own_pages import OwnUploads, keep_pages_own
from slabwright.web.pages import page_named, pages
from slabwright.web.parts import unsent
from slabwright.web.parts.field import entry
from slabwright.web.parts.html import act, element, text
from slabwright.web.parts.strip.figure import figure
from slabwright.web.people import draw_people
from slabwright.web.project_database import ProjectDatabase
from slabwright.web.project_folder import ProjectFolder
from slabwright.web.view import View

__all__ = ["LARGEST_UPLOAD", "build", "serve"]

LARGEST_UPLOAD = 101 * 1024 * 1024  # a file of 100 MB, and the words around it
SHARE = 0.001  # seconds that a computation may keep the interpreter before an answer to somebody else goes first


def build(office: ProjectFolder, first: str | None = None, *, squeeze: bool = True) -> FastAPI:
    """The application for a folder; ``first`` is the road that the bare address leads to.

    Answers are squeezed for the network; within one machine that would only take time.
    """
    Storage.path = Path(mkdtemp(prefix="slabwright-"))  # preferences of tabs live as long as the server
    app = FastAPI(title="Slabwright", version="1", docs_url=None, redoc_url=None)
    api.install(app, office)

    @ui.page("/")
    def roads() -> RedirectResponse | None:
        if first:
            return RedirectResponse(f"/road/{first}/{pages()[0].slug}")
        _roads(office)
        return None

    @ui.page("/roads")
    def all_roads() -> None:
        _roads(office)

    @ui.page("/road/{name}/{slug}")
    async def page(request: Request, name: str, slug: str, alternative: str = "base") -> Response | None:
        found = page_named(slug)
        try:
            if found is None:
                raise SlabwrightError("there is no page of this name", given=slug)
            view = View(office, name, alternative)
        except SlabwrightError as refusal:
            return _not_found(request, refusal)
        view.state["query"] = dict(request.query_params)
        view.state["section"] = request.query_params.get("section", "")
        await draw_page(view, found)
        return None

    @ui.page("/people")
    def people() -> None:
        draw_people(office.audit)

    @ui.page("/calculations")
    def catalogue_page() -> None:
        draw_catalogue()

    @ui.page("/calculations/{name}")
    def calculation_page(request: Request, name: str) -> Response | None:
        try:
            draw_calculation(name, dict(request.query_params))
        except SlabwrightError as refusal:
            return _not_found(request, refusal)
        return None

    ui.run_with(
        app,
        title="Slabwright",
        language="en-US",
        storage_secret=secrets.token_hex(32),
        show_welcome_message=False,
        reconnect_timeout=unsent.PATIENCE,
        gzip_middleware_factory=GZipMiddleware if squeeze else None,
        tailwind=False,  # it would watch the page and make style sheets in every browser; style.css has all we use
    )
    unsent.acknowledge_events()
    keep_pages_own()
    app.add_middleware(OwnUploads)
    return app


def warm(office: ProjectFolder, first: str | None) -> None:
    """Do beforehand what the first page would wait for: load the stages and the units, and read the road that is asked first."""
    for stage in plan():
        import_module(stage.run)
    for stage in filter(lambda s: s.provenance, stages()):
        import_module(stage.provenance)
    units.convert(1.0, "length", "us")
    name = first or next(iter(office.names()), None)
    if name is None:
        return
    try:
        computation = office.computation(name)
        results = {s.stage: r for s in computation.states() if (r := computation.saved(s.stage)) is not None}
        road = road_of(computation.facts, results)
        layers = strip_layers(computation.facts, results, computation.decisions)
        figure(layers[:1], road, (road.begin, road.end), "us", False)
    except SlabwrightError:
        return  # the page itself will say what is wrong


def _not_found(request: Request, refusal: SlabwrightError) -> Response:
    with shell("Not found"):
        text("h1", "This cannot be shown")
        text("p", str(refusal)).props["role"] = "alert"
        ui.link("Roads", "/roads")
    return ui.context.client.build_response(request, 404)


def _roads(office: ProjectFolder) -> None:
    with shell("Roads"):
        text("h1", "Roads")
        names = office.names()
        text("p", f"Projects in {office.title}. Choose a road, or begin a new one.")
        with element("ul"):
            for name in names:
                with element("li"):
                    ui.link(name, f"/road/{name}/{pages()[0].slug}")
        if not names:
            text("p", "No project yet.", "quiet")
        wanted, signed = {"name": ""}, SIGNED.get()

        def begin() -> None:
            try:
                office.create(wanted["name"], signed)
            except SlabwrightError as refusal:
                ui.notify(str(refusal), type="negative", multi_line=True)
                return
            ui.navigate.to(f"/road/{wanted['name'].strip()}/files")

        with element("div", cls="panel").style("max-width: 30rem"):
            entry("Name of a new road", "", lambda t: wanted.update(name=t))
            act("Begin", begin, main=True)


def office_at(place: Path | str, user: str) -> tuple[ProjectFolder, str | None]:
    """The projects to serve, and the one that the bare address leads to where one was named."""
    if isinstance(place, str):
        database = ProjectDatabase(place, user)
        return database, database.name
    folder, first = (place.parent, place.stem) if place.suffix == ".slab" else (place, None)
    return ProjectFolder(folder, user), first


def serve(
    place: Path | str,
    *,
    host: str,
    listener: socket.socket,
    password: str | None,
    user: str,
    names: Sequence[str] = (),
    accounts: Accounts | None = None,
    proxies: Sequence[str] = (),
) -> None:
    """Serve a project file, one in a database, or a folder on a listening socket until stopped; not on loopback, it demands a password."""
    import uvicorn

    office, first = office_at(place, user)
    if first is not None:
        office.project(first)
    local = is_loopback(host)
    office.audit = Audit(audit_of(accounts.path)) if accounts else None
    hashed = guard.hash_password(password) if password else None
    app = guard.Guard(
        build(office, first, squeeze=not local),
        host=host,
        password_hash=hashed,
        limit_bytes=LARGEST_UPLOAD,
        allowed_hosts=names,
        accounts=accounts,
        audit=office.audit,
        tls_only=bool(proxies),
    )
    with suppress(SlabwrightError):  # what hinders it is said at the first change
        office.list_what_was_left_out()
    warm(office, first)
    sys.setswitchinterval(SHARE)
    try:
        with suppress(KeyboardInterrupt):
            uvicorn.Server(settings(app, squeeze=not local, proxies=proxies)).run(sockets=[listener])
    finally:
        office.close()
