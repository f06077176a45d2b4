"""Ways from the supply of a segment to its devices, along trunk and spurs."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from subspark.assess.function.facts import Item, Loop
from subspark.assess.function.line import run_ohms, total
from subspark.assess.members import runs_of
from subspark.model import Run
from subspark.quantity import UNKNOWN_SPREAD, Spread

__all__ = ["Part", "Ways", "ways_of"]

NAN = math.nan
IN_TRUNK = Spread(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Part:
    """A run of cable, or what stands in series at a point: both cores [ohm].

    ``spur`` is the length that counts as spur [m]: 0 in the trunk, NaN where not said.
    """

    label: str
    ohms: Spread
    spur: Spread = IN_TRUNK


@dataclass(frozen=True, slots=True)
class Ways:
    """The parts of a segment, and which of them lie on the way to each device, in order.

    A way is None where it is not known.
    """

    parts: tuple[Part, ...]
    ways: tuple[tuple[int, ...] | None, ...]
    notes: tuple[str, ...]

    def shared(self, first: int, second: int) -> Spread:
        """Ohms that the ways of two devices have in common."""
        one, other = self.ways[first], self.ways[second]
        if one is None or other is None:
            return UNKNOWN_SPREAD
        return total([self.parts[at].ohms for at in sorted({*one} & {*other})])

    def spur(self, device: int) -> Spread:
        """Length of the spur that leads to a device [m]."""
        way = self.ways[device]
        if way is None:
            return UNKNOWN_SPREAD
        return total([self.parts[at].spur for at in way])

    def on_spur(self, device: int) -> float:
        """How many devices hang on the spur of a device."""
        own = self._spur_parts(device)
        if own is None:
            return NAN
        others = [self._spur_parts(one) for one in range(len(self.ways))]
        if any(one is None for one in others):
            return NAN
        return float(sum(bool(own & one) for one in others if one is not None)) if own else 1.0

    def _spur_parts(self, device: int) -> frozenset[int] | None:
        way = self.ways[device]
        if way is None:
            return None
        return frozenset(at for at in way if self.parts[at].spur.high != 0.0)


def _part(run: Run, loop: Loop, *, spur: bool, alone: bool) -> tuple[Part, tuple[str, ...]]:
    ohms, notes = run_ohms(run, loop)
    metres = run.length.si
    length = Spread(metres, metres, metres)
    counted = length if run.part == "spur" or spur else UNKNOWN_SPREAD
    if not spur and (run.part == "trunk" or (not run.part and alone)):
        counted = IN_TRUNK
    return Part(f"run {run.number or run.cable or 'of cable'}", ohms, counted), notes


def ways_of(loop: Loop, devices: Sequence[Item], *, spur: bool) -> Ways:
    """The ways to these devices.

    Runs are joined by the names of their ends; the supply is where its tag or cabinet is an end,
    else where runs start and none ends. A device alone is at the end of all runs where they do
    not tell more. What stands in series is at the end of its tag, else at the supply.

    Parameters
    ----------
    spur : bool
        The whole circuit is a spur, of a coupler that stands elsewhere.
    """
    runs = runs_of(loop.circuit)
    made = [_part(run, loop, spur=spur, alone=len(devices) == 1) for run in runs]
    parts = [part for part, _ in made]
    notes = dict.fromkeys(note for _, told in made for note in told)
    found = _from_root(loop, runs)
    ways: list[tuple[int, ...] | None] = [
        None if found is None else found.get(one.use.tag) for one in devices
    ]
    if len(devices) == 1 and ways[0] is None:
        ways = [tuple(range(len(runs)))]
    for item in loop.of_role("series element"):
        at = len(parts)
        parts.append(Part(item.label, item.facts.spread("series resistance")))
        notes.update(dict.fromkeys(item.facts.notes))
        before = None if found is None else found.get(item.use.tag)
        ways = [
            way if way is None or (before is not None and not {*before} <= {*way}) else (*way, at)
            for way in ways
        ]
    return Ways(tuple(parts), tuple(ways), tuple(notes))


def _from_root(loop: Loop, runs: Sequence[Run]) -> dict[str, tuple[int, ...]] | None:
    """The runs on the way to each point; None where they make no tree from one supply."""
    at: dict[str, list[int]] = defaultdict(list)
    for number, run in enumerate(runs):
        for end in {run.start, run.end} - {""}:
            at[end].append(number)
    root = _root(loop, runs, at)
    if root is None:
        return None
    found: dict[str, tuple[int, ...]] = {root: ()}
    fresh = [root]
    while fresh:
        here = fresh.pop()
        for number in at[here]:
            if number in found[here]:
                continue
            run = runs[number]
            there = run.end if run.start == here else run.start
            if there in found:
                return None
            if there:
                found[there] = (*found[here], number)
                fresh.append(there)
    return found


def _root(loop: Loop, runs: Sequence[Run], at: dict[str, list[int]]) -> str | None:
    (use,) = [one.use for one in loop.sources] if len(loop.sources) == 1 else [None]
    for name in () if use is None else (use.tag, getattr(use, "cabinet", "")):
        if name and name in at:
            return name
    starts = {run.start for run in runs} - {run.end for run in runs} - {""}
    return starts.pop() if len(starts) == 1 else None
