"""Slabwright: carry a thin bonded concrete overlay through its whole life.

The package is read in the order of the job: ``intake`` brings field files in, ``survey`` reduces
them, ``evaluation`` says what is left, ``repair`` marks out what is mended first, ``overlay`` chooses
thickness and steel, ``report`` prints it. ``workflow`` is the only conductor.
"""

__version__ = "0.1.0"
__all__ = ["__version__"]
