"""The rules of the trade: each a small pure function that returns demand and limit."""

from subspark.rules import energy, fieldbus, installation, limits, suitability, temperature
from subspark.rules.bound import EQUAL, All, Bound, Settled, Verdict, settle
from subspark.rules.codes import CODES, Code, code
from subspark.rules.columns import NOTHING, Columns, Segments
from subspark.rules.registry import ORDER, Rule, registered

RULES = registered()
"""Every rule, in order."""

if missing := set(ORDER) - {rule.name for rule in RULES}:
    raise ImportError(f"rules declared in the order but nowhere else: {sorted(missing)}")

__all__ = [
    "CODES",
    "EQUAL",
    "NOTHING",
    "ORDER",
    "RULES",
    "All",
    "Bound",
    "Code",
    "Columns",
    "Rule",
    "Segments",
    "Settled",
    "Verdict",
    "code",
    "energy",
    "fieldbus",
    "installation",
    "limits",
    "registered",
    "settle",
    "suitability",
    "temperature",
]
