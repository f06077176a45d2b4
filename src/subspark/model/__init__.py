"""The model: frozen, validated data about a plant. It computes nothing."""

from subspark.model.apparatus import ApparatusType, Entry, Mark, SimpleType, TemperatureRow
from subspark.model.base import Answer, Method, Record, content, digest
from subspark.model.cable import CableType
from subspark.model.certificate import Certificate, Condition, Declaration, Fact
from subspark.model.circuit import Circuit, Junction, Member, PortSupply, Run, SourceUse
from subspark.model.functional import TERMS, Datum, Term, What
from subspark.model.place import SAFE_AREA, Area, Atmosphere, Epl
from subspark.model.plant import Plant
from subspark.model.source import Limits, Output, Pair, Port, SourceType
from subspark.model.standalone import StandaloneCircuit, StandaloneRun

__all__ = [
    "SAFE_AREA",
    "TERMS",
    "Answer",
    "ApparatusType",
    "Area",
    "Atmosphere",
    "CableType",
    "Certificate",
    "Circuit",
    "Condition",
    "Datum",
    "Declaration",
    "Entry",
    "Epl",
    "Fact",
    "Junction",
    "Limits",
    "Mark",
    "Member",
    "Method",
    "Output",
    "Pair",
    "Plant",
    "Port",
    "PortSupply",
    "Record",
    "Run",
    "SimpleType",
    "SourceType",
    "SourceUse",
    "StandaloneCircuit",
    "StandaloneRun",
    "TemperatureRow",
    "Term",
    "What",
    "content",
    "digest",
]
