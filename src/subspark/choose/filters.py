"""What else a circuit asks of a source, beyond safety and function: the filters of the trade.

A wish stands as a figure of the circuit (sheet *Function*: ``HART``, ``SIL``, ``signal`` ...) or
is given for the whole search; a fact stands as a figure of the source. Where the fact is not
stated the filter is open: such a candidate is listed apart, neither refused nor taken.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from subspark.assess.function.facts import Facts
from subspark.choose.candidates import Candidate
from subspark.model import Circuit, What

__all__ = ["Facts", "Filtered", "Wishes", "facts_of", "filtered"]

_EQUAL: tuple[What, ...] = ("signal", "supply kind")
_YES: tuple[What, ...] = ("HART", "line-fault detection", "zone 2 mounting")


@dataclass(frozen=True, slots=True)
class Wishes:
    """Wishes for a whole search.

    ``makers`` are the approved ones (none: all). ``obsolete`` lets types that are no longer
    made be taken; ``phase_out`` those that soon will not be. ``approval`` is a national
    approval that a source must bear.
    """

    makers: tuple[str, ...] = ()
    approval: str = ""
    obsolete: bool = False
    phase_out: bool = True


@dataclass(frozen=True, slots=True)
class Filtered:
    """Filters that refuse a candidate, and those that are open, each in a phrase."""

    refused: tuple[str, ...]
    open: tuple[str, ...]


def facts_of(candidate: Candidate) -> Facts:
    """The figures of a candidate's own type."""
    return Facts((candidate.kind.function,), candidate.kind.name, candidate.outputs)


def _wished(circuit: Circuit) -> Facts:
    return Facts((circuit.function,))


def _of_circuit(wish: Facts, fact: Facts) -> Iterator[tuple[bool | None, str]]:
    """Each filter of the circuit: whether it holds (None: not stated), and its phrase."""
    for what in _EQUAL:
        if asked := wish.word(what):
            held = fact.word(what)
            yield (None if not held else held == asked), f"{what}: {asked} wanted"
    for what in _YES:
        if wish.word(what) == "yes":
            held = fact.word(what)
            if what == "HART" and fact.word("role") == "shunt-diode barrier":
                held = "yes"  # a barrier lets the signal pass; its ohms are judged by function
            yield (None if not held else held == "yes"), f"{what}: wanted"
    if level := wish.word("SIL"):
        held = fact.word("SIL")
        yield (None if not held else int(held) >= int(level)), f"SIL {level}: wanted"
    heat = wish.spread("heat").high
    if not math.isnan(heat):
        gives = fact.spread("heat").high
        yield (None if math.isnan(gives) else gives <= heat), "heat: too much for the cabinet"
    most = wish.spread("channels").high
    if not math.isnan(most):
        has = fact.spread("channels").high
        yield (None if math.isnan(has) else has <= most), f"channels: {most:g} at the most wanted"
    if approval := wish.word("approval"):
        yield _approved(fact, approval)


def _approved(fact: Facts, approval: str) -> tuple[bool | None, str]:
    held = [one.strip() for one in fact.word("approval").split(",") if one.strip()]
    return (None if not held else approval in held), f"approval {approval}: wanted"


def _of_search(wishes: Wishes, candidate: Candidate, fact: Facts) -> Iterator[tuple[bool, str]]:
    if wishes.makers:
        yield candidate.kind.maker in wishes.makers, f"maker {candidate.kind.maker}: not approved"
    status = fact.word("status")
    if not wishes.obsolete:
        yield status != "obsolete", "no longer made"
    if not wishes.phase_out:
        yield status != "phase-out", "being phased out"


def filtered(circuit: Circuit, candidate: Candidate, wishes: Wishes) -> Filtered:
    """What the filters say of a candidate for a circuit."""
    wish, fact = _wished(circuit), facts_of(candidate)
    found: list[tuple[bool | None, str]] = [*_of_circuit(wish, fact)]
    found += _of_search(wishes, candidate, fact)
    if wishes.approval:
        found.append(_approved(fact, wishes.approval))
    return Filtered(
        tuple(phrase for holds, phrase in found if holds is False),
        tuple(f"{phrase}, not stated" for holds, phrase in found if holds is None),
    )
