"""Names of project files that every computer can keep."""

from __future__ import annotations

import os
from pathlib import Path

from slabwright.errors import InputError

__all__ = ["MOST_BYTES", "SUFFIX", "checked_file"]

SUFFIX = ".slab"
MOST_BYTES = 200  # a disk takes 255, with room for the names of drafts and logs beside the file
RESERVED = '<>:"/\\|?*'
DEVICES = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}


def checked_file(path: Path) -> Path:
    """The path of a new project; InputError for a name that does not end in .slab once, that some computer cannot keep, or
    that some could not tell from one beside it."""
    stem, suffix = path.stem, path.suffix
    if suffix.lower() != SUFFIX or stem.startswith("."):
        raise InputError(
            "the file of a project has a name that ends in .slab", given=path.name, remedy=f"Call it NAME{SUFFIX}."
        )
    if not stem.isprintable() or any(c in RESERVED for c in stem):
        raise InputError(
            "this name holds characters that other computers cannot keep",
            given=path.name,
            allowed=f"printable characters other than {' '.join(RESERVED)}",
        )
    if len(stem.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        raise InputError("this name is too long for some disks", given=path.name, allowed=f"up to {MOST_BYTES} bytes")
    if stem != stem.rstrip(" ."):
        raise InputError(
            "a name that ends in a dot or a blank cannot be kept on other computers", given=stem, remedy="Leave it out."
        )
    if stem.lower().endswith(SUFFIX):
        raise InputError("the name of a road is given without .slab", given=stem, remedy="Leave .slab out.")
    if stem.lower().partition(".")[0].strip() in DEVICES:
        raise InputError("this name stands for a device on other computers", given=stem, remedy="Choose another name.")
    if alike := _alike(path):
        raise InputError(
            "another project here has this name but for capitals, which other computers do not tell apart",
            given=path.name,
            allowed=f"another name than {alike}",
        )
    return path


def _alike(path: Path) -> str:
    """A project beside it whose name differs by capitals alone, "" for none."""
    try:
        names = os.listdir(path.parent)
    except OSError:  # which making the project will say
        return ""
    return next((n for n in names if n != path.name and n.casefold() == path.name.casefold()), "")
