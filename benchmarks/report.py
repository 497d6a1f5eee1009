"""Print what the last benchmark run found: for each case its baseline and the ratio to it."""

import json
import sys
from pathlib import Path

LAST = Path(".benchmarks/last.json")


def main() -> None:
    found = json.loads(LAST.read_text())["benchmarks"]
    for entry in found:
        info = dict(entry["extra_info"])
        ratio, baseline = info.pop("ratio", "-"), info.pop("baseline", "the floor named in the file")
        rest = ", ".join(f"{k} {v}" for k, v in info.items())
        sys.stdout.write(
            f"{entry['name']}: ratio {ratio} to {baseline}; median {entry['stats']['median']:.4g} s; {rest}\n"
        )


if __name__ == "__main__":
    main()
