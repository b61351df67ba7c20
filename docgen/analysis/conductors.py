"""Conductors in numbers: current against what they bear, fuse against the wires of the loop, voltage drop, short-circuit current."""

from collections.abc import Iterator
from dataclasses import dataclass

from docgen.analysis.copper import HOTTEST, largest
from docgen.analysis.fields import against, constant, limit, reading, system_voltage
from docgen.analysis.loop_circuit import LOW_VOLTAGE, Loop_ends
