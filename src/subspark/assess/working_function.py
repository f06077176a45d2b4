"""The working of function: whether the circuit works, and its staircase; nothing is judged."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess.function import FunctionFinding, FunctionRuleFinding, Staircase
from subspark.assess.tree import Block, Check, Line, Section, Stair, Stairs
from subspark.rules import Verdict

__all__ = ["function", "stairs"]

_PLACES = {
    "V": (1.0, "V", 2),
    "A": (1e3, "mA", 2),
    "ohm": (1.0, "ohm", 2),
    "K": (1.0, "K", 3),
    "W": (1.0, "W", 3),
    "small V": (1e3, "mV", 2),
}
"""How a staircase is written: factor, unit and decimals, the same on every step."""


def _text(value: float, unit: str) -> str:
    if math.isnan(value):
        return "not known"
    scale, shown, places = _PLACES[unit]
    return f"{value * scale:.{places}f} {shown}"


def _share(value: float, most: float) -> float | None:
    return None if math.isnan(value) or not most > 0.0 else min(max(value / most, 0.0), 1.0)


def stairs(told: Staircase) -> Stairs:
    """A staircase in the engineer's units, with its heights as shares of the highest."""
    heights = [one.left for one in told.steps] + [told.needed, told.left]
    most = max((one for one in heights if not math.isnan(one)), default=math.nan)
    unit = "small V" if told.unit == "V" and most < 1.0 else told.unit
    steps = tuple(
        Stair(
            one.label,
            _text(one.change, unit),
            _text(one.left, unit),
            _share(one.left, most),
        )
        for one in told.steps
    )
    return Stairs(
        title=told.title,
        at=told.at,
        steps=steps,
        left=_text(told.left, unit),
        needed=_text(told.needed, unit),
        left_share=_share(told.left, most),
        needed_share=_share(told.needed, most),
    )


def _check(found: FunctionRuleFinding) -> Check:
    middle = found.nominal_sentence
    return Check(
        rule=found.rule.name,
        verdict=found.word,
        says=found.rule.says,
        relation=found.rule.relation,
        numbers=f"{found.sentence}; {middle}" if middle else found.sentence,
        utilisation=found.utilisation,
        clause=found.rule.cites,
        remedy=found.rule.remedy if found.verdict is Verdict.UNSAFE else "",
    )


def _blocks(found: FunctionFinding) -> Iterator[Block]:
    yield Line(found.sentence)
    if found.kind:
        yield Line(found.kind, "kind")
    for name, one in found.rules.items():
        if one.verdict is Verdict.UNSAFE:
            yield Line(f"{name}: {one.rule.remedy}", "what would mend it")
    if found.staircase is not None and found.staircase.steps:
        yield stairs(found.staircase)
    for one in found.rules.values():
        if one.verdict is not Verdict.NOT_ASKED:
            yield _check(one)
    for label in found.missing:
        yield Line(label, "not known")
    for note in found.assumptions:
        yield Line(note, "assumed")


def function(found: FunctionFinding) -> Section:
    """The section on function."""
    return Section("function", "Does it work?", tuple(_blocks(found)))
