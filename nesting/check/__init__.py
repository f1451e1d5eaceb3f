"""The check: whether a layout is right, from the files' values alone.

It shares no code with the search and trusts nobody: every rule is measured on the outlines as they lie, as a
distance or a depth in millimetres, and nothing is off by more than `TOLERANCE`.
"""

from nesting.check.fault import TOLERANCE, Fault
from nesting.check.layout import faults, unchecked

__all__ = ["TOLERANCE", "Fault", "faults", "unchecked"]
