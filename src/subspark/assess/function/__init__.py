"""Whether circuits work: figures found, cases made, rules of function applied."""

from subspark.assess.function import two_wire  # declares what makes its cases
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
    "two_wire",
]
