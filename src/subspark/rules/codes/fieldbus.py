"""Figures of FISCO and 2-WISE by edition, as data: limits that spare the sum of C and L.

A figure whose citation is of low confidence proves nothing until a person confirms it.
"""

from __future__ import annotations

import dataclasses
import math
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from typing import Any

import numpy as np

from subspark.rules.codes import Constant
from subspark.rules.columns import Floats

__all__ = ["METHODS", "Figures", "edition_for", "editions", "figures"]

METHODS = ("FISCO", "2-WISE")
"""The ways of proof that a segment may use instead of entity parameters."""

_BLOCKED = "low"


@dataclass(frozen=True, slots=True, eq=False)
class Figures:
    """The figures of a method in an edition, by name, SI."""

    method: str
    edition: str
    constants: Mapping[str, Constant] = field(repr=False)

    def number(self, name: str, confirmed: Floats) -> Floats:
        """A figure; NaN where it is of low confidence and not confirmed.

        Parameters
        ----------
        name : str
            Name of the figure.
        confirmed : array
            0 where a person has confirmed the figures, NaN elsewhere.
        """
        one = self.constants[name]
        if one.confidence == _BLOCKED:
            return one.value + confirmed
        return np.asarray(one.value)

    def has(self, name: str) -> bool:
        """Whether the method knows such a limit."""
        return name in self.constants

    @property
    def doubted(self) -> tuple[str, ...]:
        """Names of the figures that a person must confirm."""
        return tuple(name for name, one in self.constants.items() if one.confidence == _BLOCKED)


@cache
def _data() -> dict[str, Any]:
    text = resources.files("subspark.rules.codes").joinpath("fieldbus.toml").read_text("utf-8")
    return tomllib.loads(text)


def editions(method: str) -> tuple[str, ...]:
    """The editions of a method for which there are figures, the usual one first."""
    return tuple(_data()["methods"][method])


def edition_for(method: str, code: str) -> str:
    """The edition of a method by which a code goes."""
    known = editions(method)
    named: str = _data()["edition_of"].get(code, known[0])
    return named if named in known else known[0]


def _entries(method: str, edition: str) -> dict[str, dict[str, Any]]:
    own = dict(_data()["methods"][method][edition])
    parent = own.pop("extends", None)
    rewrite = own.pop("rewrite", {})
    if parent is None:
        return own
    table = _entries(method, parent)
    for old, new in rewrite.items():
        table = {
            name: {**entry, "clause": entry["clause"].replace(old, new)}
            for name, entry in table.items()
        }
    return {**table, **own}


@cache
def figures(method: str, edition: str) -> Figures:
    """The figures of a method in an edition; all of them unknown where there is no such edition."""
    known = editions(method)
    entries = _entries(method, edition if edition in known else known[0])
    constants = {name: Constant(**entry) for name, entry in entries.items()}
    if edition not in known:
        constants = {
            name: dataclasses.replace(one, value=math.nan, clause=edition)
            for name, one in constants.items()
        }
    return Figures(method, edition, constants)
