"""Passwords are kept as salted scrypt hashes and compared in constant time."""

from __future__ import annotations

import base64
import binascii
import hashlib
import hmac
import re
import secrets
import unicodedata

from slabwright.errors import InputError

__all__ = ["SHORTEST_PASSWORD", "check_hash", "hash_password", "verify_password"]

SHORTEST_PASSWORD = 12  # common practice, no source
LONGEST_PASSWORD = 1000
# 32 MB of memory and about a quarter of a second for each attempt; from memory, after the advice of OWASP.
COST, BLOCK, PARALLEL = 2**15, 8, 3
LARGEST_MEMORY = 128 * 2**20
HASH = re.compile(r"scrypt\$(\d{1,7})\$(\d{1,2})\$(\d{1,2})\$([A-Za-z0-9+/=]{16,100})\$([A-Za-z0-9+/=]{40,100})\Z")


def hash_password(password: str) -> str:
    """``scrypt$cost$block$parallel$salt$hash``, to be kept in place of the password.

    Raises InputError for one that is too short to withstand guessing.
    """
    if not SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        raise InputError(
            "this password cannot be used",
            allowed=f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters",
            remedy="Choose a few words that nobody would guess together.",
        )
    salt = secrets.token_bytes(16)
    digest = _digest(password, salt, COST, BLOCK, PARALLEL)
    return "$".join([
        "scrypt",
        str(COST),
        str(BLOCK),
        str(PARALLEL),
        *(base64.b64encode(b).decode() for b in (salt, digest)),
    ])


def verify_password(password: str, kept: str) -> bool:
    """Whether the password is the one behind the hash; takes as long for a wrong one as for the right one."""
    cost, block, parallel, salt, digest = _parts(kept)
    return hmac.compare_digest(_digest(password[:LONGEST_PASSWORD], salt, cost, block, parallel), digest)


def check_hash(kept: str) -> None:
    """Raise InputError for what ``hash_password`` cannot have made."""
    _parts(kept)


def _parts(kept: str) -> tuple[int, int, int, bytes, bytes]:
    match = HASH.match(kept)
    refusal = InputError("this is not a password's hash", remedy="Make one with hash_password.")
    if match is None:
        raise refusal
    cost, block, parallel = (int(match[i]) for i in (1, 2, 3))
    if cost < 2 or cost & (cost - 1) or block < 1 or parallel < 1 or 128 * cost * block > LARGEST_MEMORY // 2:
        raise refusal
    try:
        return (
            cost,
            block,
            parallel,
            base64.b64decode(match[4], validate=True),
            base64.b64decode(match[5], validate=True),
        )
    except binascii.Error:
        raise refusal from None


def _digest(password: str, salt: bytes, cost: int, block: int, parallel: int) -> bytes:
    # Keyboards compose accents differently; NFKC makes the same word the same bytes.
    spelled = unicodedata.normalize("NFKC", password).encode("utf-8", "replace")
    return hashlib.scrypt(spelled, salt=salt, n=cost, r=block, p=parallel, maxmem=LARGEST_MEMORY, dklen=32)
