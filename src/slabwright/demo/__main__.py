"""``python -m slabwright.demo FOLDER [--seed N]`` writes the field files of the demo road."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from slabwright.demo.field_files import SEED, write
from slabwright.errors import SlabwrightError


def main(arguments: list[str] | None = None) -> int:
    """Write the files and name them; a refusal is one sentence on the error stream and an exit code."""
    parser = argparse.ArgumentParser(prog="python -m slabwright.demo", description="Write the demo road's field files.")
    parser.add_argument("folder", type=Path, help="folder to write to; it is made when it does not exist")
    parser.add_argument("--seed", type=int, default=SEED, help="seed of the scatter (default %(default)s)")
    chosen = parser.parse_args(arguments)
    try:
        written = write(chosen.folder, seed=chosen.seed)
    except SlabwrightError as refusal:
        print(refusal, file=sys.stderr)
        return refusal.exit_code
    print("\n".join(str(path) for path in written))
    return 0


if __name__ == "__main__":
    sys.exit(main())
