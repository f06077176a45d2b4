"""Rules of function: whether a circuit works, judged apart from whether it is safe."""

from subspark.rules.function import two_wire  # declares its rules
from subspark.rules.function.columns import Column, Table, Triple, columns_of, nominal
from subspark.rules.function.registry import (
    KINDS,
    FunctionRule,
    Kind,
    function_rules,
)

__all__ = [
    "KINDS",
    "Column",
    "FunctionRule",
    "Kind",
    "Table",
    "Triple",
    "columns_of",
    "function_rules",
    "nominal",
    "two_wire",
]
