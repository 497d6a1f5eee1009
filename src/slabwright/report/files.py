"""Files that appear whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from slabwright.errors import StoreError

__all__ = ["replacing", "write_whole"]


@contextmanager
def replacing(path: Path) -> Iterator[Path]:
    """A name beside ``path`` to write to; it takes the place of ``path`` when the block ends well.

    Raises StoreError when the folder cannot be written.
    """
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:100]}.", suffix=path.suffix)
        os.close(handle)
    except OSError as problem:
        raise _refusal(path, problem) from problem
    made = Path(name)
    try:
        yield made
        made.chmod(0o666 & ~_mask())
        os.replace(made, path)
    except OSError as problem:
        raise _refusal(path, problem) from problem
    finally:
        made.unlink(missing_ok=True)


def write_whole(path: Path, content: bytes) -> None:
    """Write the bytes to ``path`` whole or not at all."""
    with replacing(path) as made:
        made.write_bytes(content)


def _mask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _refusal(path: Path, problem: OSError) -> StoreError:
    return StoreError(
        f"this file cannot be written: {problem.strerror or problem}", where=str(path), remedy="Choose another place."
    )
