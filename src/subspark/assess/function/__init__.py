"""Whether circuits work: figures found, cases made, rules of function applied."""

from subspark.assess.function import (  # declare what makes their cases
    bridges,
    coils,
    detectors,
    lamps,
    lines,
    multidrop,
    output,
    powered,
    probes,
    segments,
    switching,
    thermocouples,
    thermometers,
    two_wire,
)
from subspark.assess.function.cases import BUILDERS, FunctionCase, Staircase, Step
from subspark.assess.function.findings import (
    FunctionAssessment,
    FunctionFinding,
    FunctionRuleFinding,
)

__all__ = [
    "BUILDERS",
    "FunctionAssessment",
    "FunctionCase",
    "FunctionFinding",
    "FunctionRuleFinding",
    "Staircase",
    "Step",
    "bridges",
    "coils",
    "detectors",
    "lamps",
    "lines",
    "multidrop",
    "output",
    "powered",
    "probes",
    "segments",
    "switching",
    "thermocouples",
    "thermometers",
    "two_wire",
]
