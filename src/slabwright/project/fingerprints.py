"""One fingerprint for whatever a result depends on: equal inputs give equal fingerprints, on any machine.

Every part is written as a tag, its length and its canonical bytes, so that no two different inputs can
spell the same bytes. Minus zero is zero, any NaN is NaN, and a whole number is the same number as a float.
"""

from __future__ import annotations

import dataclasses
import hashlib
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

__all__ = ["fingerprint"]

Feed = Callable[[bytes], object]


def fingerprint(*parts: object) -> str:
    """SHA-256, in hexadecimal, over numbers, texts, tables, arrays, dataclasses, sequences, mappings and None.

    Order counts, in tables too; only the order of a mapping's keys does not. The index of a table is left
    out. Raises TypeError for anything else, since a guessed spelling would make stale results look current.
    """
    digest = hashlib.sha256()
    _feed(digest.update, parts)
    return digest.hexdigest()


def _feed(feed: Feed, part: Any) -> None:
    if isinstance(part, np.generic):
        part = part.item()
    if part is None:
        feed(b"none;")
    elif isinstance(part, bool):
        feed(b"yes;" if part else b"no;")
    elif isinstance(part, (int, float)):
        _number(feed, part)
    elif isinstance(part, str):
        _block(feed, b"text", part.encode("utf-8", "surrogatepass"))
    elif isinstance(part, bytes):
        _block(feed, b"bytes", part)
    elif isinstance(part, pd.DataFrame):
        _frame(feed, part)
    elif isinstance(part, np.ndarray):
        _feed(feed, part.shape)
        _column(feed, part.ravel())
    else:
        _compound(feed, part)


def _compound(feed: Feed, part: Any) -> None:
    if dataclasses.is_dataclass(part) and not isinstance(part, type):
        _block(feed, b"record", type(part).__qualname__.encode())
        _feed(feed, [(f.name, getattr(part, f.name)) for f in dataclasses.fields(part)])
    elif isinstance(part, Mapping):
        _feed(feed, sorted((fingerprint(key), fingerprint(value)) for key, value in part.items()))
    elif isinstance(part, (tuple, list)):
        feed(b"sequence%d;" % len(part))
        for item in part:
            _feed(feed, item)
    else:
        raise TypeError(f"no fingerprint for {type(part).__name__}")


def _block(feed: Feed, tag: bytes, content: bytes) -> None:
    feed(tag + b"%d:" % len(content))
    feed(content)


def _number(feed: Feed, value: float) -> None:
    if isinstance(value, int) and abs(value) > 2**53:  # a float could not tell it from its neighbour
        _block(feed, b"whole", str(value).encode())
    else:
        _block(feed, b"float", _floats(np.array([value], dtype=np.float64)))


def _floats(values: npt.NDArray[Any]) -> bytes:
    """Little-endian bytes with one zero and one NaN."""
    plain = values.astype("<f8") + 0.0  # -0.0 + 0.0 is 0.0
    plain[np.isnan(plain)] = np.nan
    return plain.tobytes()


def _frame(feed: Feed, frame: pd.DataFrame) -> None:
    _feed(feed, ("table", len(frame), [str(name) for name in frame.columns]))
    for place in range(frame.shape[1]):
        _column(feed, frame.iloc[:, place].to_numpy())


def _column(feed: Feed, values: npt.NDArray[Any]) -> None:
    if values.dtype.kind == "f":
        _block(feed, b"floats", _floats(values))
        return
    if values.dtype.kind not in "biuOU":
        raise TypeError(f"no fingerprint for a column of {values.dtype}")
    items = values.tolist()
    if values.dtype.kind in "OU" and all(type(item) is str for item in items):
        lengths = np.fromiter(map(len, items), dtype="<i8", count=len(items))
        _block(feed, b"lengths", lengths.tobytes())
        _block(feed, b"texts", "".join(items).encode("utf-8", "surrogatepass"))
    else:
        _feed(feed, items)
