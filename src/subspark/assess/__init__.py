"""Assessment: plant to columns (cases), columns to bounds, bounds to findings."""

from subspark.assess.findings import Assessment, CaseFinding, Finding, RuleFinding, assess
from subspark.assess.needs import Missing, Need

__all__ = [
    "Assessment",
    "CaseFinding",
    "Finding",
    "Missing",
    "Need",
    "RuleFinding",
    "assess",
]
