"""The commands. Each imports what it needs when it runs, so that ``--help`` stays fast."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand

from slabwright import __version__

__all__ = ["app"]

app = typer.Typer(
    add_completion=False,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    help="Carry a thin bonded concrete overlay through its whole life. Results assist a licensed engineer; local codes"
    " and that engineer's judgement govern.",
)


class _NamesStages(TyperCommand):
    """A command whose help names the stages: they are read when that help is asked for, not at every start."""

    def format_help(self, ctx: Any, formatter: Any) -> None:
        from slabwright.stages import stages

        names = {
            "stages": ", ".join(stage.name for stage in stages()),
            "short": ", ".join(stage.name for stage in stages() if not stage.long),
            "long": ", ".join(stage.name for stage in stages() if stage.long),
        }
        for parameter in self.params:
            if parameter.name == "stage":
                parameter.help = parameter.help.format(**names)  # type: ignore[attr-defined]
        super().format_help(ctx, formatter)


def _place(text: str) -> Path | str:
    """A path, or the URL of a database, which a path would spoil."""
    return text if "://" in text else Path(text)


Road = Annotated[
    Any,
    typer.Argument(metavar="ROAD.slab", parser=_place, help="The project file, or the URL of a PostgreSQL database."),
]
Json = Annotated[bool, typer.Option("--json", help="Print JSON (documented and versioned) instead of tables.")]
Units = Annotated[str, typer.Option("--units", help="us or metric: units shown, and of bare numbers given.")]
Overwrite = Annotated[
    bool, typer.Option("--overwrite", help="Replace a file of another kind or a loaded one too; a project never.")
]
Alternative = Annotated[str, typer.Option("--alternative", "-a", help="The named set of decisions.")]


@app.callback(invoke_without_command=True)
def version(show: Annotated[bool, typer.Option("--version", help="Print the version.")] = False) -> None:
    if show:
        typer.echo(f"slabwright {__version__}")
        raise typer.Exit


@app.command()
def new(
    road: Road,
    example: Annotated[bool, typer.Option("--example", help="Fill it with the demo road.")] = False,
) -> None:
    """Make an empty project, or one with the demo road."""
    from slabwright.cli import files

    files.new(road, example)


@app.command()
def load(
    road: Road,
    paths: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Survey, deflection, core or traffic files.")],
    mapping: Annotated[
        list[str] | None,
        typer.Option(
            "--map",
            help="HEADER=COLUMN or HEADER=COLUMN:UNIT, or HEADER= to leave a column out; repeat for each header.",
        ),
    ] = None,
    table: Annotated[
        str | None, typer.Option("--table", help="The table that the file holds, where it is not clear.")
    ] = None,
    word: Annotated[
        list[str] | None,
        typer.Option(
            "--word", help="What a word in the file means, as 'LTC=longitudinal crack'; repeatable, remembered."
        ),
    ] = None,
    post: Annotated[
        list[str] | None,
        typer.Option("--post", help="The station of a milepost or reference post, as 'MP 2=105+60'; remembered."),
    ] = None,
    weather_station: Annotated[
        str, typer.Option("--weather-station", help="The station to take from a weather file that holds several.")
    ] = "",
    lane: Annotated[
        str, typer.Option("--lane", help="The lane of every row of files that need one and have no column of it.")
    ] = "",
    position: Annotated[
        str,
        typer.Option("--position", help="Where on the slab every test stood, for test files without a column of it."),
    ] = "",
    preview: Annotated[
        bool, typer.Option("--preview", help="Show what was recognised and questioned; change nothing.")
    ] = False,
    accept: Annotated[
        bool, typer.Option("--accept-findings", help="Load suspicious values too, with a trace.")
    ] = False,
    reject: Annotated[
        list[str] | None, typer.Option("--reject", help="Leave out what this rule warns of, with a trace; repeatable.")
    ] = None,
    replace: Annotated[
        bool, typer.Option("--replace", help="Take the place of the loaded file of the same name, in one change.")
    ] = False,
    in_place_of: Annotated[
        str | None, typer.Option("--in-place-of", help="The loaded file whose place this one takes.")
    ] = None,
    all_findings: Annotated[bool, typer.Option("--all", help="Each finding on its line, notes too.")] = False,
    json: Json = False,
    units: Units = "us",
) -> None:
    """Load field files. Every file is checked first; each is loaded whole or not at all, and what is not is listed.

    What cannot be told from a file is asked, with the options that answer it ready to copy, and exit code 3.
    """
    from slabwright.cli import loading

    told = loading.Said(mapping or [], word or [], post or [], weather_station, table, lane, position)
    loading.load(road, paths, told, preview, accept, reject or [], replace, in_place_of, all_findings, json, units)


@app.command()
def unload(
    road: Road,
    names: Annotated[list[str], typer.Argument(metavar="FILE...", help="Names of loaded files.")],
) -> None:
    """Take loaded files out of the project with their rows; undo brings them back."""
    from slabwright.cli import loading

    loading.unload(road, names)


@app.command()
def check(
    road: Road,
    alternative: Alternative = "base",
    whole: Annotated[
        bool, typer.Option("--whole", help="Read the file to its last byte instead, and say whether it is sound.")
    ] = False,
    all_findings: Annotated[bool, typer.Option("--all", help="Each finding on its line.")] = False,
    json: Json = False,
    units: Units = "us",
) -> None:
    """Say what is missing, what is suspicious, and what each stage still needs: all that run would refuse."""
    from slabwright.cli import files, keeping

    if whole:
        keeping.check(road, json)
    else:
        files.check(road, alternative, all_findings, json, units)


@app.command()
def copy(
    road: Road,
    target: Annotated[Path, typer.Argument(metavar="COPY.slab", help="The new file, or a folder to put it in.")],
) -> None:
    """Copy a project, even one that is in use, and check the copy. Nothing is ever written over."""
    from slabwright.cli import keeping

    keeping.copy(road, target)


@app.command()
def move(
    source: Annotated[Any, typer.Argument(metavar="SOURCE", parser=_place, help="A project: a file or a URL.")],
    target: Annotated[
        Any, typer.Argument(metavar="TARGET", parser=_place, help="The URL of an empty database, or a new file.")
    ],
) -> None:
    """Put a project with its history into a PostgreSQL database, or back into a file, and compare every row.

    The source stays as it is. A URL is postgresql://USER@HOST/DATABASE; the password belongs in ~/.pgpass.
    """
    from slabwright.cli import keeping

    keeping.move(source, target)


@app.command(cls=_NamesStages)
def run(
    road: Road,
    stage: Annotated[
        str | None,
        typer.Argument(help="Only this stage and those it needs: {short}; or the long work: {long}."),
    ] = None,
    alternative: Alternative = "base",
    processes: Annotated[int, typer.Option(min=0, help="Processes for long work; 0 takes one for each core.")] = 0,
    units: Units = "us",
) -> None:
    """Compute what is stale. Long work takes minutes and is computed when named."""
    from slabwright.cli import stages

    stages.run(road, stage, alternative, processes, units)


@app.command(cls=_NamesStages)
def show(
    road: Road,
    stage: Annotated[str, typer.Argument(help="One of: {stages}.")],
    alternative: Alternative = "base",
    table: Annotated[str | None, typer.Option("--table", help="Only this table.")] = None,
    all_rows: Annotated[bool, typer.Option("--all", help="All rows of long tables.")] = False,
    working: Annotated[bool, typer.Option("--working", help="Print the governing calculations too.")] = False,
    row: Annotated[
        int | None, typer.Option("--row", min=1, help="Print how each number in this row of the table was found.")
    ] = None,
    json: Json = False,
    units: Units = "us",
) -> None:
    """Show the results of a stage as tables."""
    from slabwright.cli import stages

    stages.show(road, stage, alternative, table, row, all_rows, working, json, units)


@app.command()
def compare(road: Road, json: Json = False, units: Units = "us") -> None:
    """Show the alternatives side by side."""
    from slabwright.cli import stages

    stages.compare(road, json, units)


@app.command()
def decide(
    road: Road,
    assignments: Annotated[
        list[str] | None, typer.Argument(metavar="[NAME=VALUE]...", help='For example design.thickness="4 in".')
    ] = None,
    alternative: Alternative = "base",
    json: Json = False,
    units: Units = "us",
) -> None:
    """List the decisions of an alternative, or change some of them."""
    from slabwright.cli import decisions

    decisions.decide(road, assignments or [], alternative, json, units)


@app.command()
def alternative(
    road: Road,
    name: Annotated[str | None, typer.Argument(help="Name of the alternative; none lists them.")] = None,
    like: Annotated[str, typer.Option("--like", help="The alternative to start from.")] = "base",
    remove: Annotated[bool, typer.Option("--remove", help="Remove it instead.")] = False,
) -> None:
    """List, add or remove alternatives."""
    from slabwright.cli import decisions

    decisions.alternative(road, name, like, remove)


@app.command()
def report(
    road: Road,
    output: Annotated[Path, typer.Option("-o", "--output", help="The PDF to write.")] = Path("report.pdf"),
    with_appendix: Annotated[
        bool, typer.Option("--with-appendix", help="Write the appendix too, as a second PDF beside it.")
    ] = False,
    engineer: Annotated[str, typer.Option("--engineer", help="Name of the person who signs.")] = "",
    alternative: Alternative = "base",
    units: Units = "us",
    overwrite: Overwrite = False,
) -> None:
    """Write the design report as a PDF, and its appendix where it is asked for."""
    from slabwright.cli import documents

    documents.report(road, output, alternative, units, engineer, overwrite, with_appendix=with_appendix)


@app.command()
def export(
    road: Road,
    xlsx: Annotated[bool, typer.Option("--xlsx", help="Quantities as a workbook.")] = False,
    gpkg: Annotated[bool, typer.Option("--gpkg", help="Map layers as a GeoPackage.")] = False,
    dxf: Annotated[bool, typer.Option("--dxf", help="Plan sheets of repairs and joints.")] = False,
    folder: Annotated[Path, typer.Option("-o", "--output", help="Folder to write to.")] = Path(),
    alternative: Alternative = "base",
    units: Units = "us",
    overwrite: Overwrite = False,
) -> None:
    """Write quantities, map layers and plan sheets."""
    from slabwright.cli import documents

    documents.export(road, folder, alternative, units, overwrite, xlsx=xlsx, gpkg=gpkg, dxf=dxf)


@app.command()
def history(road: Road, json: Json = False, units: Units = "us") -> None:
    """List who changed what and when, from what to what; --json gives SI values."""
    from slabwright.cli import decisions

    decisions.history(road, json, units)


@app.command()
def undo(road: Road) -> None:
    """Take the last change back."""
    from slabwright.cli import decisions

    decisions.step(road, "undo")


@app.command()
def redo(road: Road) -> None:
    """Make the last undone change again."""
    from slabwright.cli import decisions

    decisions.step(road, "redo")


@app.command(context_settings={"ignore_unknown_options": True})
def calc(
    words: Annotated[list[str], typer.Argument(metavar="list | show NAME | NAME [INPUT=VALUE]...")],
    json: Json = False,
    units: Units = "us",
) -> None:
    """List, describe or evaluate a calculation, e.g. calc saw_depth thickness="3 in"."""
    from slabwright.cli import calc as calculations

    calculations.calc(words, json, units)


@app.command()
def serve(
    place: Annotated[
        Any,
        typer.Argument(metavar="[ROAD.slab|FOLDER]", parser=_place, help="A project, or a folder of projects."),
    ] = ".",
    host: Annotated[
        str, typer.Option("--host", help="Address to listen on; any but loopback demands a password.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", help="Port to listen on.", min=1, max=65535)] = 8470,
    password_file: Annotated[
        Path | None, typer.Option("--password-file", help="A file whose first line is the password to sign in with.")
    ] = None,
    allow_host: Annotated[
        list[str] | None,
        typer.Option("--allow-host", help="A further name that leads here, such as that of a proxy; repeatable."),
    ] = None,
    accounts: Annotated[
        Path | None,
        typer.Option("--accounts", help="A file of accounts: each person signs in with a password of theirs."),
    ] = None,
    proxy: Annotated[
        list[str] | None,
        typer.Option(
            "--proxy", help="Address of a proxy whose forwarded headers are believed; sign-in is over TLS only."
        ),
    ] = None,
) -> None:
    """Work in the browser: the same job on pages, for this machine only unless told otherwise."""
    from slabwright.cli import server

    server.serve(place, host, port, password_file, allow_host or [], accounts, proxy)


@app.command()
def account(
    accounts: Annotated[Path, typer.Argument(metavar="ACCOUNTS.json", help="The file of accounts.")],
    action: Annotated[str, typer.Argument(help="list, add, role, sign-out or remove.")] = "list",
    name: Annotated[str, typer.Argument(help="The person.")] = "",
    role: Annotated[
        str, typer.Option("--role", help="look or change; a new account may look if this is left out.")
    ] = "",
    password_file: Annotated[
        Path | None, typer.Option("--password-file", help="A file whose first line is the password; else it is asked.")
    ] = None,
) -> None:
    """List, add and remove the accounts of a shared workspace, or sign a person out everywhere."""
    from slabwright.cli import accounts as people

    people.account(accounts, action, name, role, password_file)


@app.command()
def audit(
    accounts: Annotated[Path, typer.Argument(metavar="ACCOUNTS.json", help="The file of accounts.")],
    json: Json = False,
) -> None:
    """List who signed in, changed, signed out and was refused in a workspace with accounts."""
    from slabwright.cli import accounts as people

    people.audit(accounts, json)
