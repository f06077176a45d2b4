"""What HART asks of a loop, as figures of a row."""

from __future__ import annotations

import math
from collections.abc import Sequence

from subspark.assess.function.cases import Figure
from subspark.assess.function.driving import NAN, at_most
from subspark.assess.function.facts import Item, Loop
from subspark.assess.function.feeding import BARRIER, exactly, type_facts
from subspark.assess.function.line import Line, total
from subspark.quantity import Spread
from subspark.rules.function.levels import level

__all__ = ["hart_figures", "used"]


def used(loop: Loop, devices: Sequence[Item]) -> float:
    """Whether HART is used: the circuit says, or the devices do not speak it."""
    said = loop.own.yes("HART")
    if math.isnan(said) and all(one.facts.yes("HART") == 0.0 for one in devices):
        return 0.0
    return said


def _places(loop: Loop) -> tuple[float, float]:
    """Whether a modem stands on the safe side, and in the field; untold, the safe side is tried."""
    named = {one.value for one in loop.own.rows("HART place")}
    if not named:
        return NAN, 0.0
    return float("safe side" in named), float("field side" in named)


def hart_figures(
    source: Item,
    devices: Sequence[Item],
    loop: Loop,
    line: Line,
    hart: float,
    notes: list[str],
) -> dict[str, Figure]:
    """Columns of :class:`~subspark.rules.function.hart.Hart` beyond those of the feed."""
    own, kind, barrier = loop.own, type_facts(source), source.role == BARRIER
    passes = 1.0 if barrier else kind.yes("HART")
    safe, field = _places(loop)
    found = level("HART highest resistance")
    most = Spread(found.low, found.nominal, found.high)
    if own.rows("HART highest resistance"):
        most = exactly(own.spread("HART highest resistance"))
    elif hart != 0.0:
        text = level("HART highest resistance of the specification").nominal
        notes.append(
            f"a HART loop is taken to bear {most.nominal:g} ohm, as common guides say; "
            f"the text of the specification says {text:g} ohm"
        )
    if hart != 0.0:
        rest = level("HART rest of the loop").nominal
        notes.append(f"{rest * 1e9:g} nF are added for the rest of a HART loop")
    return {
        "hart": hart,
        "passes": passes if source.role else NAN,
        "port": kind.spread("HART resistance"),
        "safe_modem": safe,
        "field_modem": field,
        "most_ohms": most,
        "C_device": total([at_most(one.facts.spread("input capacitance")) for one in devices]),
        "C_line": line.farads,
    }
