"""The command line: thin, no arithmetic; every refusal is one plain message and exit code 2, a question 3."""

from __future__ import annotations

import os
import sys

from slabwright.errors import SlabwrightError

__all__ = ["main"]


def main() -> None:
    """Run a command. Exit codes: 0 done, 2 the user's input was wrong, 3 a question waits, 1 anything else."""
    from slabwright.cli.app import app

    try:
        app()
    except SlabwrightError as refusal:
        print(f"slabwright: {refusal}", file=sys.stderr)
        sys.exit(refusal.exit_code)
    except BrokenPipeError:  # the reader of a pipe went away, e.g. `slabwright show ... | head`
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except Exception as defect:
        if os.environ.get("SLABWRIGHT_DEBUG"):
            raise
        print(
            f"slabwright: a defect of the program: {type(defect).__name__}: {defect}."
            " Nothing was changed. Set SLABWRIGHT_DEBUG=1 to see where, and please report it.",
            file=sys.stderr,
        )
        sys.exit(1)
