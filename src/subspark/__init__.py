"""Subspark: proves, chooses, documents and keeps true the intrinsically safe circuits of a plant.

    >>> import subspark as ss
    >>> ss.__version__
    '0.1.0'

Verdicts are *safe*, *unsafe* and *unproven*; what is not known is never safe. The certificates,
the standards in force, local codes and a competent, licensed person decide.
"""

from subspark.assess import Assessment, Finding, RuleFinding, assess
from subspark.errors import (
    InputError,
    MarkingError,
    PlantError,
    QuantityError,
    SubsparkError,
    UsageError,
)
from subspark.marking import read_marking
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Condition,
    Declaration,
    Entry,
    Junction,
    Limits,
    Mark,
    Member,
    Output,
    Pair,
    Plant,
    Port,
    PortSupply,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
    StandaloneCircuit,
    StandaloneRun,
    TemperatureRow,
)
from subspark.quantity import Evidence
from subspark.rules import CODES, RULES, Verdict

__version__ = "0.1.0"

__all__ = [
    "CODES",
    "RULES",
    "ApparatusType",
    "Area",
    "Assessment",
    "Atmosphere",
    "CableType",
    "Certificate",
    "Circuit",
    "Condition",
    "Declaration",
    "Entry",
    "Evidence",
    "Finding",
    "InputError",
    "Junction",
    "Limits",
    "Mark",
    "MarkingError",
    "Member",
    "Output",
    "Pair",
    "Plant",
    "PlantError",
    "Port",
    "PortSupply",
    "QuantityError",
    "RuleFinding",
    "Run",
    "SimpleType",
    "SourceType",
    "SourceUse",
    "StandaloneCircuit",
    "StandaloneRun",
    "SubsparkError",
    "TemperatureRow",
    "UsageError",
    "Verdict",
    "assess",
    "read_marking",
]
