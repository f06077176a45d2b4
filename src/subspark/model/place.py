"""Areas: where circuits go, and what the atmosphere there asks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from subspark.model.base import Answer, Record
from subspark.quantity import Evidence, Length, Temperature, TemperatureRange

__all__ = ["SAFE_AREA", "Area", "Atmosphere", "Epl", "Zone"]

SAFE_AREA = "safe area"
"""The name of every place that is not classified."""

Zone = Literal["0", "1", "2", "20", "21", "22", "Division 1", "Division 2", "mine", ""]
Epl = Literal["Ga", "Gb", "Gc", "Da", "Db", "Dc", "Ma", "Mb", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class Atmosphere(Record):
    """One explosive atmosphere of an area.

    ``zone`` with ``group`` and ``temperature`` say what it asks; ``substances`` (names or CAS
    numbers) may stand in for ``group`` and ``temperature`` of a gas. A dust states the
    highest surface temperature, or the ignition temperatures of cloud and 5 mm layer. A layer of
    a ``layer_depth`` above 5 mm counts by ``layer_limit`` only, the highest surface temperature
    that a test at its real depth permits; a ``layer`` "uncontrolled", of whatever depth, by the
    power that may be dissipated in it. ``coal_dust`` answers of a mine whether coal dust can lie
    in layers.
    ``epl`` replaces the zone's usual one only with ``epl_evidence`` where it is lower.
    """

    zone: Zone = ""
    hazard_class: Literal["I", "II", "III", ""] = ""
    group: str = ""
    temperature: str = ""
    substances: tuple[str, ...] = ()
    cloud_ignition: Temperature = Temperature()
    layer_ignition: Temperature = Temperature()
    layer_depth: Length = Length()
    layer_limit: Temperature = Temperature()
    layer: Literal["controlled", "uncontrolled", ""] = ""
    coal_dust: Answer = ""
    epl: Epl = ""
    epl_evidence: Evidence = Evidence()
    evidence: Evidence = Evidence()


@dataclass(frozen=True, slots=True, kw_only=True)
class Area(Record):
    """A place of the plant: its atmospheres and its ambient temperatures.

    ``hybrid`` answers whether gas and dust may form a mixture there; it is asked only where
    the area has both.
    """

    tag: str
    title: str = ""
    atmospheres: tuple[Atmosphere, ...] = ()
    ambient: TemperatureRange = TemperatureRange()
    hybrid: Literal["yes", "no", ""] = ""
    evidence: Evidence = Evidence()
