"""Circuits with functional figures, written as words and values, to be spoiled one at a time."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import NamedTuple, cast

import subspark as ss
from subspark.assess.function import FunctionAssessment, FunctionFinding
from subspark.model import TERMS, Datum, What
from subspark.quantity import TemperatureRange

Figures = Mapping[str, str | Sequence[tuple[str, str]]]
"""Values by word; of a table the pairs of current and value."""


_WORDS = {word.replace(" ", "_").replace("-", "_"): word for word in TERMS}


class Asked(NamedTuple):
    """A circuit as a test writes it."""

    source: Figures
    devices: Sequence[Figures]
    own: Figures = MappingProxyType({})
    length: str = "0 m"
    air: str = "-20 to 60 °C"
    cabinet: str = "0 to 40 °C"


def data(figures: Figures) -> tuple[Datum, ...]:
    """Figures as rows of the model."""
    rows = []
    for word, value in figures.items():
        what = cast("What", word)
        if isinstance(value, str):
            rows.append(Datum(what=what, value=value))
        else:
            rows += [Datum(what=what, value=one, at=at) for at, one in value]
    return tuple(rows)


def judge_all(asked: Sequence[Asked]) -> FunctionAssessment:
    """Whether circuits work, C0, C1 and so on; the cable is 1.5 mm2, class 2, plain, 100 pF/m."""
    cable = ss.CableType(
        name="K", section="1.5 mm2", conductor="stranded", tinned="no", C="100 pF/m"
    )
    areas, sources, apparatus, circuits = [], [], [], []
    for n, one in enumerate(asked):
        areas.append(ss.Area(tag=f"A{n}", ambient=one.air))
        sources.append(ss.SourceType(name=f"S{n}", function=data(one.source)))
        members = []
        for k, device in enumerate(one.devices):
            apparatus.append(ss.ApparatusType(name=f"D{n}.{k}", function=data(device)))
            members.append(ss.Member(tag=f"D{k}", apparatus=f"D{n}.{k}"))
        use = ss.SourceUse(source=f"S{n}", place_ambient=TemperatureRange(one.cabinet))
        circuits.append(
            ss.Circuit(
                tag=f"C{n}",
                area=f"A{n}",
                sources=(use,),
                members=tuple(members),
                runs=(ss.Run(cable="K", length=one.length),),
                function=data(one.own),
            )
        )
    plant = ss.Plant(
        areas=tuple(areas),
        sources=tuple(sources),
        apparatus=tuple(apparatus),
        cables=(cable,),
        circuits=tuple(circuits),
    )
    found = ss.assess(plant).function
    assert isinstance(found, FunctionAssessment)
    return found


def judge(asked: Asked) -> FunctionFinding:
    """Whether one circuit works."""
    return judge_all([asked])["C0"]


def changed(asked: Asked, where: str, **figures: str) -> Asked:
    """The same circuit with figures set; blank takes one away. ``where`` is source, own or Dk.

    An underscore stands for the blank or hyphen of the word.
    """

    def edit(old: Figures) -> Figures:
        new = {**old, **{_WORDS[name]: value for name, value in figures.items()}}
        return {name: value for name, value in new.items() if value != ""}

    if where == "source":
        return asked._replace(source=edit(asked.source))
    if where == "own":
        return asked._replace(own=edit(asked.own))
    k = int(where[1:])
    devices = [edit(one) if n == k else one for n, one in enumerate(asked.devices)]
    return asked._replace(devices=devices)
