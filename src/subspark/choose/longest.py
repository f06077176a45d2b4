"""The longest run of a circuit: to the millimetre, with what binds, for safety and for function.

The rules are asked, never solved: a length is the longest when every rule holds there and one
does not a millimetre further. Safety can only be lost as a cable grows. Function may also be
won (a proximity switch whose lead shorts its alarm), so its lengths are an interval around the
length as drawn.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import numpy.typing as npt

from subspark.assess import Assessment, assess
from subspark.assess.cases import expand
from subspark.assess.columns import Block, blocks_of
from subspark.assess.context import Context
from subspark.assess.engine import NO_RULE, Judged, judge
from subspark.assess.function import FunctionAssessment
from subspark.assess.multicore import merges
from subspark.assess.rows import Case
from subspark.choose.around import around
from subspark.model import Circuit, Plant, Run
from subspark.physics.ignition import Curves
from subspark.quantity import Length
from subspark.rules import RULES, Verdict

__all__ = ["FARTHEST", "Longest", "longest", "with_length"]

FARTHEST = 100_000.0
"""No run is tried beyond this [m]: what holds there is not bound by its cable."""
_MILLIMETRES = 1000
_FARTHEST = int(FARTHEST) * _MILLIMETRES

Told = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Longest:
    """How long one run of a circuit may be.

    ``safe_to`` is the longest length at which the circuit is proved safe, ``works_from`` and
    ``works_to`` the lengths between which it works [m]; None where there is none. ``safe_binds``
    and ``works_binds`` name the rule that fails a millimetre further; blank where none does up
    to :data:`FARTHEST`. Where there is no length at all they tell why.
    """

    tag: str
    run: int
    label: str
    now: float | None
    safe_to: float | None
    safe_binds: str
    works_from: float | None
    works_to: float | None
    works_binds: str
    together: tuple[str, ...] = ()

    @property
    def length(self) -> float | None:
        """The longest length at which it is safe, and works where that can be judged [m]."""
        if self.safe_to is None:
            return None
        if self.works_to is None:
            return self.safe_to if self.works_binds.startswith("unproven") else None
        if self.works_from is not None and self.works_from > self.safe_to:
            return None
        return min(self.safe_to, self.works_to)

    @property
    def binds(self) -> str:
        """What binds the longest length."""
        if self.safe_to is None:
            return self.safe_binds
        if self.works_to is not None and self.works_to < self.safe_to:
            return self.works_binds
        if self.length is None:
            return self.works_binds
        return self.safe_binds

    @property
    def left(self) -> float | None:
        """How much longer it may become than it is [m]; below zero where it is too long."""
        if self.length is None or self.now is None:
            return None
        return self.length - self.now


def metres(millimetres: int) -> float:
    """Whole millimetres in metres, as a length that is read would be."""
    return millimetres / _MILLIMETRES


def with_length(run: Run, length: float) -> Run:
    """The run with another length [m]."""
    return dataclasses.replace(run, length=Length.of(length))


def _varied(circuit: Circuit, run: int | None) -> int:
    """Which run varies: that asked for, else the longest; an unknown length before all."""
    if run is not None:
        return run
    lengths = [math.inf if math.isnan(one.length.si) else one.length.si for one in circuit.runs]
    return lengths.index(max(lengths))


def _label(run: Run, number: int) -> str:
    ends = f"{run.start} to {run.end}" if run.start and run.end else ""
    return run.number or ends or run.cable or f"run {number + 1}"


class _Safety:
    """Safety of circuits whose cases change with one length only: judged all at once."""

    def __init__(
        self, plant: Plant, places: Sequence[int], runs: Sequence[int], context: Context
    ) -> None:
        self.cases: list[Case] = []
        self.owner: list[int] = []
        for index, place in enumerate(places):
            for case in expand(index, plant.circuits[place], context):
                if not case.aside:
                    self.cases.append(case)
                    self.owner.append(index)
        self.count = len(places)
        self.blocks = blocks_of(self.cases, context.code, context.curves)
        self.owners = np.array(self.owner, dtype=np.intp)
        self.run_of = np.array([runs[one] for one in self.owner], dtype=np.intp)
        keys = [(case.circuit, case.atmosphere, case.option) for case in self.cases]
        self.options = list(dict.fromkeys(keys))
        number = {key: at for at, key in enumerate(self.options)}
        self.option_of = np.array([number[key] for key in keys], dtype=np.intp)
        spaces = list(dict.fromkeys(key[:2] for key in self.options))
        place_of = {space: at for at, space in enumerate(spaces)}
        self.space_of_option = np.array([place_of[key[:2]] for key in self.options], dtype=np.intp)
        self.owner_of_space = np.array([space[0] for space in spaces], dtype=np.intp)

    def _judged(self, block: Block, lengths: npt.NDArray[np.float64]) -> Judged:
        length = block.columns.length.copy()
        at = np.arange(block.places.size)
        length[self.run_of[block.places], at] = lengths[self.owners[block.places]]
        return judge(dataclasses.replace(block.columns, length=length))

    def verdicts(
        self, lengths: npt.NDArray[np.float64]
    ) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.uint8]]:
        """Of each option, whether every case is safe at these lengths; of each case, its rule."""
        safe = np.zeros(len(self.cases), dtype=bool)
        governing = np.full(len(self.cases), NO_RULE, dtype=np.uint8)
        for block in self.blocks:
            judged = self._judged(block, lengths)
            safe[block.places] = judged.verdict <= Verdict.SAFE
            governing[block.places] = judged.governing
        holds = np.ones(len(self.options), dtype=bool)
        np.logical_and.at(holds, self.option_of, safe)
        self.safe = safe
        return holds, governing

    def safe_at(self, lengths: npt.NDArray[np.float64]) -> npt.NDArray[np.bool_]:
        """Whether each circuit is safe at these lengths."""
        holds, _ = self.verdicts(lengths)
        space = np.zeros(self.owner_of_space.size, dtype=bool)
        np.logical_or.at(space, self.space_of_option, holds)
        whole = np.ones(self.count, dtype=bool)
        np.logical_and.at(whole, self.owner_of_space, space)
        seen = np.zeros(self.count, dtype=bool)
        seen[self.owner_of_space] = True
        return whole & seen

    def farthest(self) -> tuple[npt.NDArray[np.int64], list[str]]:
        """Longest safe length of each circuit [mm], -1 where there is none, and what binds."""
        low = np.zeros(self.count, dtype=np.int64)
        high = np.full(self.count, _FARTHEST + 1, dtype=np.int64)
        none = ~self.safe_at(np.zeros(self.count))
        free = self.safe_at(np.full(self.count, FARTHEST))
        low[free] = _FARTHEST
        while np.any(high - low > 1):
            middle = np.where(high - low > 1, (low + high) // 2, low)
            safe = self.safe_at(middle / _MILLIMETRES)
            low, high = np.where(safe, middle, low), np.where(safe, high, middle)
            high = np.maximum(high, low + 1)
        good, _ = self.verdicts(low / _MILLIMETRES)
        _, governing = self.verdicts((low + 1) / _MILLIMETRES)
        binds = [""] * self.count
        for at in np.flatnonzero(good[self.option_of] & ~self.safe).tolist():
            owner = self.owner[at]
            if not binds[owner] and not free[owner]:
                binds[owner] = RULES[int(governing[at])].name
        return np.where(none, -1, low), binds


def _search(holds: Callable[[int], bool], low: int, high: int) -> int:
    """The last millimetre at which it holds, given that it holds at ``low``, not at ``high``."""
    while high - low > 1:
        middle = (low + high) // 2
        if holds(middle):
            low = middle
        else:
            high = middle
    return low


def _first(holds: Callable[[int], bool], low: int, high: int) -> int:
    """The first millimetre at which it holds, given that it does at ``high``, not at ``low``."""
    while high - low > 1:
        middle = (low + high) // 2
        if holds(middle):
            high = middle
        else:
            low = middle
    return high


class _Varied:
    """One circuit of a plant with one of its runs at another length."""

    def __init__(self, circuit: Circuit, run: int, context: Context) -> None:
        self.circuit, self.run, self.context = circuit, run, context
        self.plant = context.plant
        shared = context.sharers.get(circuit.runs[run].number, ())
        self.sharers = [
            one for place in shared if (one := self.plant.circuits[place]).tag != circuit.tag
        ]

    @cached_property
    def around(self) -> Plant:
        """The part of the plant that can bear on the circuit."""
        return around(self.plant, [self.circuit, *self.sharers])

    def at(self, length: int) -> Circuit:
        """The circuit alone at a length [mm]."""
        return self._changed(self.circuit, metres(length))

    def _changed(self, circuit: Circuit, length: float) -> Circuit:
        number = self.circuit.runs[self.run].number
        runs = tuple(
            with_length(run, length)
            if (circuit.tag == self.circuit.tag and at == self.run)
            or (number and run.number == number)
            else run
            for at, run in enumerate(circuit.runs)
        )
        return dataclasses.replace(circuit, runs=runs)

    def assessed(self, length: int, curves: Curves) -> Assessment:
        """The circuit judged among those that it shares a cable with, all at that length."""
        changed = {
            one.tag: self._changed(one, metres(length)) for one in (self.circuit, *self.sharers)
        }
        circuits = tuple(changed.get(one.tag, one) for one in self.around.circuits)
        plant = dataclasses.replace(self.around, circuits=circuits)
        return assess(plant, [self.circuit.tag], curves=curves)


def _safe_alone(varied: _Varied, curves: Curves) -> tuple[int, str]:
    """Longest safe length of one circuit [mm] among its partners, and what binds."""

    def safe(length: int) -> bool:
        return next(varied.assessed(length, curves).summaries()).verdict is Verdict.SAFE

    if not safe(0):
        return -1, ""
    if safe(_FARTHEST):
        return _FARTHEST, ""
    low = _search(safe, 0, _FARTHEST)
    return low, next(varied.assessed(low + 1, curves).summaries()).governing


def _function(varied: _Varied, now: int) -> tuple[int, int, str]:
    """Lengths between which a circuit works [mm] and what binds; -1 and why where none."""

    def judged(length: int) -> FunctionAssessment:
        return FunctionAssessment([varied.at(length)], varied.context)

    def works(length: int) -> bool:
        return judged(length).verdict(varied.circuit.tag) <= Verdict.SAFE

    if judged(now).verdict(varied.circuit.tag) is Verdict.UNPROVEN:
        lacks = "; ".join(judged(now)[varied.circuit.tag].missing[:2])
        return -1, -1, f"unproven: {lacks}"
    start = next((one for one in (now, 0, *_STEPS) if works(one)), None)
    if start is None:
        found = judged(now)[varied.circuit.tag]
        return -1, -1, f"{found.word}: {found.governing or '; '.join(found.missing[:2])}"
    first = 0 if works(0) else _first(works, 0, start)
    if works(_FARTHEST):
        return first, _FARTHEST, ""
    last = _search(works, start, _FARTHEST)
    return first, last, judged(last + 1)[varied.circuit.tag].governing


_STEPS = tuple(int(10 * 2**k) * _MILLIMETRES for k in range(13))
"""Lengths at which a circuit is tried that works neither as drawn nor without a cable [mm]."""


def longest(
    plant: Plant,
    tags: Iterable[str] | None = None,
    *,
    run: int | None = None,
    curves: Curves | None = None,
    told: Told | None = None,
    function: bool = True,
) -> list[Longest]:
    """How long a run of each circuit may be before a verdict of safety or function is lost.

    Parameters
    ----------
    plant : Plant
    tags : iterable of str, optional
        Only these circuits.
    run : int, optional
        Which run varies, from 0; by default the longest of each circuit. The other runs stay.
        Circuits that share the cable grow with it.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.
    told : callable, optional
        Called with the number of circuits done and of all.
    function : bool
        Whether function is asked too; it takes most of the time.

    Returns
    -------
    list of Longest
        One a circuit with cable, in order. Lengths are whole millimetres: the rules hold there,
        and one does not a millimetre further.

    Raises
    ------
    UsageError
        A tag that is not there.
    """
    chosen = plant.circuits if tags is None else tuple(plant.circuit(tag) for tag in tags)
    circuits = [one for one in chosen if one.runs and (run is None or run < len(one.runs))]
    context = Context.of(plant, curves)
    place_of = {one.tag: place for place, one in enumerate(plant.circuits)}
    runs = [_varied(one, run) for one in circuits]
    plain = [i for i, one in enumerate(circuits) if _alone(one, runs[i], context)]
    safety = _Safety(
        plant, [place_of[circuits[i].tag] for i in plain], [runs[i] for i in plain], context
    )
    lengths, binds = safety.farthest()
    by_place = {i: (int(lengths[k]), binds[k]) for k, i in enumerate(plain)}
    out = []
    for i, circuit in enumerate(circuits):
        if told is not None:
            told(i, len(circuits))
        varied = _Varied(circuit, runs[i], context)
        safe = by_place.get(i) or _safe_alone(varied, context.curves)
        out.append(_result(varied, safe, context.curves, function=function))
    return out


def _alone(circuit: Circuit, run: int, context: Context) -> bool:
    """Whether nothing but one row of this circuit changes with the length of a run.

    Cores of one cable that the circuit uses twice, there and back, are two runs that grow as one.
    """
    number = circuit.runs[run].number
    twice = number != "" and sum(one.number == number for one in circuit.runs) > 1
    return circuit.method == "entity" and not twice and not merges(circuit, context)


def _result(varied: _Varied, safe: tuple[int, str], curves: Curves, *, function: bool) -> Longest:
    circuit, run = varied.circuit, varied.circuit.runs[varied.run]
    si = run.length.si
    now = None if math.isnan(si) else si
    first, last, works_binds = -1, -1, "unproven: not asked"
    if function:
        start = 0 if now is None else round(now * _MILLIMETRES)
        first, last, works_binds = _function(varied, start)
    reach, binds = safe
    if reach < 0:
        found = next(varied.assessed(0, curves).summaries())
        binds = f"{found.verdict.word}: {found.governing}"
    return Longest(
        tag=circuit.tag,
        run=varied.run,
        label=_label(run, varied.run),
        now=now,
        safe_to=None if reach < 0 else metres(reach),
        safe_binds=binds,
        works_from=None if first < 0 else metres(first),
        works_to=None if last < 0 else metres(last),
        works_binds=works_binds,
        together=tuple(one.tag for one in varied.sharers),
    )
