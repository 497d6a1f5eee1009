"""Processes that share long work end with the one that made them."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

WORK = """
import os, time
from slabwright.workers import workers

def busy(_):
    os.write(1, (str(os.getpid()) + os.linesep).encode())  # one write: the lines of two processes do not mix
    time.sleep(60)

if __name__ == "__main__":
    with workers(2) as pool:
        list(pool.map(busy, range(2)))
"""


def is_there(process: int) -> bool:
    """Whether a process is there and not only waiting to be counted."""
    place = Path(f"/proc/{process}/stat")
    return place.exists() and place.read_text().rpartition(")")[2].split()[0] != "Z"


def test_helpers_end_when_the_program_is_killed(tmp_path):
    (tmp_path / "work.py").write_text(WORK)
    with subprocess.Popen([sys.executable, str(tmp_path / "work.py")], stdout=subprocess.PIPE, text=True) as program:
        helpers = [int(program.stdout.readline()) for _ in range(2)]
        assert all(map(is_there, helpers))
        program.send_signal(signal.SIGKILL)
        program.wait()
        end = time.monotonic() + 10
        while any(map(is_there, helpers)) and time.monotonic() < end:
            time.sleep(0.05)
        left = [helper for helper in helpers if is_there(helper)]
        for helper in left:
            os.kill(helper, signal.SIGKILL)
    assert left == []
