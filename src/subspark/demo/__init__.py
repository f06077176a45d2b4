"""The demo plant: an invented station with hydrogen, biogas and grain dust, built by code.

``build_plant()`` gives the plant, ``FAULTS`` the mistakes that were built into it on purpose,
with the rule that must catch each of them; ``FUNCTION_FAULTS`` are circuits that are safe and do
not work, ``FUNCTION_OPEN`` those of which it is not known. Makers, certificates and figures are
invented.
``build_division_plant()`` and ``DIVISION_FAULTS`` are a small one by Class and Division.
"""

from subspark.demo.division import DIVISION_FAULTS, build_division_plant, division_markdown
from subspark.demo.faults import FAULTS, DeliberateFault, faults_markdown
from subspark.demo.function_faults import (
    FUNCTION_FAULTS,
    FUNCTION_OPEN,
    FunctionFault,
    function_markdown,
)
from subspark.demo.plant import build_plant

__all__ = [
    "DIVISION_FAULTS",
    "FAULTS",
    "FUNCTION_FAULTS",
    "FUNCTION_OPEN",
    "DeliberateFault",
    "FunctionFault",
    "build_division_plant",
    "build_plant",
    "division_markdown",
    "faults_markdown",
    "function_markdown",
]
