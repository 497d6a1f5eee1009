"""A PostgreSQL server of the tests' own: in a temporary folder, on a free port, never run by root, gone with the tests."""

from __future__ import annotations

import itertools
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import sqlalchemy as sa

ABSENT = "PostgreSQL is not installed (Debian's package postgresql)"
FAST = (
    "fsync=off",
    "full_page_writes=off",
    "synchronous_commit=off",
    "listen_addresses=127.0.0.1",
    "max_connections=40",
)
SECONDS = 30


def programs() -> Path | None:
    """The folder of ``initdb`` and ``postgres``; None where there is none."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/postgres"), key=lambda p: float(p.parts[-3]))
    on_path = shutil.which("postgres")
    return found[-1].parent if found else Path(on_path).parent if on_path else None


def _other_user() -> dict[str, object]:
    """The server refuses to be run by root; its package makes the user postgres, and nobody is everywhere."""
    if os.getuid() != 0:
        return {}
    for name in ("postgres", "nobody"):
        try:
            found = pwd.getpwnam(name)
        except KeyError:
            continue
        return {"user": found.pw_uid, "group": found.pw_gid, "extra_groups": ()}
    raise LookupError("there is no user but root to run PostgreSQL as")


class Postgres:
    """A running server; each schema of its one database is room for one project."""

    def __init__(self, port: int) -> None:
        self.port = port
        self._numbers = itertools.count(1)
        self._engine = sa.create_engine(self.address().replace("postgresql:", "postgresql+psycopg:"))

    def address(self, schema: str = "", user: str = "postgres") -> str:
        more = f"?options=-csearch_path%3D{schema}" if schema else ""
        return f"postgresql://{user}@127.0.0.1:{self.port}/postgres{more}"

    def run(self, statement: str) -> None:
        with self._engine.begin() as connection:
            connection.exec_driver_sql(statement)

    def schema(self) -> str:
        """The URL of a new empty schema."""
        name = f"road{next(self._numbers)}"
        self.run(f"CREATE SCHEMA {name}")
        return self.address(name)

    def close(self) -> None:
        self._engine.dispose()


@contextmanager
def serving(binaries: Path) -> Iterator[Postgres]:
    """A server for as long as the block lasts."""
    folder = Path(tempfile.mkdtemp(prefix="slabwright-pg-"))  # pytest's own folders are closed to other users
    other = _other_user()
    if other:
        os.chown(folder, int(str(other["user"])), int(str(other["group"])))
    data = folder / "data"
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE, "cwd": folder, **other}
    make = [binaries / "initdb", "-D", data, "-U", "postgres", "-A", "trust", "-E", "UTF8", "--locale=C", "--no-sync"]
    try:
        subprocess.run([*map(str, make)], check=True, **quiet)  # type: ignore[call-overload]
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            port = int(probe.getsockname()[1])
        options = [
            word for option in (*FAST, f"port={port}", f"unix_socket_directories={folder}") for word in ("-c", option)
        ]
        quiet["stderr"] = subprocess.DEVNULL
        process = subprocess.Popen([str(binaries / "postgres"), "-D", str(data), *options], **quiet)  # type: ignore[call-overload]
        try:
            yield _ready(Postgres(port), process)
        finally:
            process.send_signal(signal.SIGQUIT)  # without a checkpoint: the tests are done
            process.wait(timeout=SECONDS)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _ready(server: Postgres, process: subprocess.Popen[bytes]) -> Postgres:
    until = time.monotonic() + SECONDS
    while time.monotonic() < until and process.poll() is None:
        try:
            server.run("SELECT 1")
        except sa.exc.OperationalError:
            time.sleep(0.05)
        else:
            return server
    raise TimeoutError("PostgreSQL did not start")
