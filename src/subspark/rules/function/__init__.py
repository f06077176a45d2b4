"""Rules of function: whether a circuit works, judged apart from whether it is safe."""

from subspark.rules.function import (  # declare their rules
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
from subspark.rules.function.columns import (
    Column,
    Members,
    Table,
    Triple,
    columns_of,
    nominal,
)
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
    "Members",
    "Table",
    "Triple",
    "bridges",
    "coils",
    "columns_of",
    "detectors",
    "function_rules",
    "lamps",
    "lines",
    "multidrop",
    "nominal",
    "output",
    "powered",
    "probes",
    "segments",
    "switching",
    "thermocouples",
    "thermometers",
    "two_wire",
]
