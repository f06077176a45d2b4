"""The demo plant: an invented station with hydrogen, biogas and grain dust, built by code.

``build_plant()`` gives the plant, ``FAULTS`` the mistakes that were built into it on purpose,
with the rule that must catch each of them. Makers, certificates and figures are invented.
"""

from subspark.demo.faults import FAULTS, DeliberateFault, faults_markdown
from subspark.demo.plant import build_plant

__all__ = ["FAULTS", "DeliberateFault", "build_plant", "faults_markdown"]
