"""Start of the program against the start of Python with numpy, in fresh processes."""

import subprocess
import sys
from time import perf_counter
from typing import Any

import pytest

CASES = {
    "import slabwright": [sys.executable, "-c", "import slabwright"],
    "slabwright --help": [
        sys.executable,
        "-c",
        "import sys; sys.argv = ['slabwright', '--help']; from slabwright.cli import main; main()",
    ],
    "slabwright calc list": [
        sys.executable,
        "-c",
        "import sys; sys.argv = ['slabwright', 'calc', 'list']; from slabwright.cli import main; main()",
    ],
}


@pytest.mark.parametrize("name", CASES)
def test_start(benchmark: Any, name: str) -> None:
    def start() -> None:
        subprocess.run(CASES[name], check=True, capture_output=True)

    benchmark.pedantic(start, rounds=5, warmup_rounds=1)
    begun = perf_counter()
    for _ in range(5):
        subprocess.run([sys.executable, "-c", "import numpy"], check=True)
    baseline = (perf_counter() - begun) / 5
    benchmark.extra_info.update(
        baseline="python -c 'import numpy'",
        seconds=round(benchmark.stats.stats.median, 3),
        ratio=round(benchmark.stats.stats.median / baseline, 2),
    )
