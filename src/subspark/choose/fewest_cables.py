"""The fewest cable types that serve a whole plant: asked of the optimiser, proved by the rules.

What is chosen are the runs of a circuit that lie in cables of their own and are of one type now;
they take one type. Trunks and other cables that circuits share stay as they are, as do fieldbus
segments and the leads of thermocouples, whose alloys no other cable has.
"""

from __future__ import annotations

import dataclasses
import math
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess import Assessment, assess
from subspark.assess.context import Context
from subspark.assess.function.facts import Facts, loop_of
from subspark.assess.members import is_multicore
from subspark.assess.multicore import merges
from subspark.assess.words import percent
from subspark.choose.around import around
from subspark.choose.change import Change, Edit
from subspark.choose.covering import Covering, Result
from subspark.choose.proposal import Ask, Miss, Proposal, TypeLine
from subspark.choose.settling import Settled, Watcher, holds, settle
from subspark.choose.table_function import judgeable
from subspark.choose.whatif import State, states
from subspark.errors import UsageError
from subspark.model import CableType, Circuit, Plant
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = ["fewest_cables"]

Bools = npt.NDArray[np.bool_]
Told = Callable[[int, int], None]


class Lay(NamedTuple):
    """Runs of a circuit that are of one type and in cables of their own, with their metres."""

    circuit: Circuit
    runs: tuple[int, ...]
    cable: str
    metres: float


def _lays(plant: Plant, context: Context) -> tuple[list[Lay], list[str]]:
    """What may be chosen, and the circuits that are left as they are."""
    lays: list[Lay] = []
    left: list[str] = []
    for one in plant.circuits:
        found = [] if _fixed(one, context) else list(_of(one, context))
        lays += found
        if not found:
            left.append(one.tag)
    return lays, left


def _fixed(circuit: Circuit, context: Context) -> bool:
    """Whether no other cable type can be thought of: a segment, or leads of certain alloys."""
    if circuit.method != "entity" or any(row.what == "lead pair" for row in circuit.function):
        return True
    return bool(loop_of(circuit, context).of_role("thermocouple"))


def _of(circuit: Circuit, context: Context) -> list[Lay]:
    by_type: dict[str, list[int]] = {}
    for at, run in enumerate(circuit.runs):
        shared = context.sharing.get(run.number, 0) > 1
        if run.cable in context.cables and not shared and run.length.si != 0.0:
            by_type.setdefault(run.cable, []).append(at)
    return [
        Lay(circuit, tuple(runs), name, sum(circuit.runs[at].length.si for at in runs))
        for name, runs in by_type.items()
    ]


def _replaces(now: CableType, other: CableType) -> str:
    """Why a type cannot stand where another stands now; blank where it can."""
    if is_multicore(now) != is_multicore(other):
        return "circuits: one of the two is a multicore"
    if now.screen != other.screen:
        return f"screen: {now.screen or 'not stated'} wanted"
    if now == other:
        return ""
    for what, has, gets in (("cores", now.cores, other.cores), ("pairs", now.pairs, other.pairs)):
        if has is None and (what == "pairs" or gets is None):
            continue
        if has is None or gets is None:
            return f"{what}: not stated"
        if gets < has:
            return f"{what}: {has} wanted"
    return ""


def with_cable(circuit: Circuit, runs: Sequence[int], cable: str) -> Circuit:
    """The circuit with another cable type in some of its runs."""
    kept = tuple(
        dataclasses.replace(run, cable=cable) if at in runs else run
        for at, run in enumerate(circuit.runs)
    )
    return dataclasses.replace(circuit, runs=kept)


@dataclass(slots=True)
class _Cables:
    """A plant's cables laid out for the optimiser; see :class:`~.settling.Choosing`."""

    plant: Plant
    ask: Ask
    lays: list[Lay]
    kept: list[str]
    types: list[CableType]
    pairs: Bools
    function: dict[str, bool]
    price: npt.NDArray[np.float64]
    priced: bool

    @property
    def tags(self) -> list[str]:
        """The circuit of each row."""
        return [one.circuit.tag for one in self.lays]

    def judgeable(self, tag: str) -> bool:
        """Whether it can be judged if a circuit works."""
        return self.function[tag]

    @property
    def present(self) -> npt.NDArray[np.intp]:
        """The type of each row now."""
        number = self._number
        return np.array([number[one.cable] for one in self.lays], dtype=np.intp)

    @property
    def _number(self) -> dict[str, int]:
        return {one.name: at for at, one in enumerate(self.types)}

    def covering(self) -> Covering:
        """The problem as it stands: metres are what a row needs, a metre is what is bought."""
        number = self._number
        rows = np.arange(len(self.lays))
        now = self.present
        whole = [1 if math.isnan(one.metres) else math.ceil(one.metres) for one in self.lays]
        free = {(lay.circuit.tag, at) for lay in self.lays for at in lay.runs}
        forced = {
            run.cable
            for one in self.plant.circuits
            for at, run in enumerate(one.runs)
            if run.cable in number and (one.tag, at) not in free
        }
        existing = np.where(self.pairs[rows, now], now, -1)
        return Covering(
            serves=self.pairs,
            price=self.price,
            stocking=self.ask.stocking,
            need=np.array(whole, dtype=np.int64),
            group=existing + 1,  # what is laid serves where it lies: nobody else has its metres
            existing=existing,
            change=self.ask.replacing,
            forced=tuple(_numbers(number, (*sorted(forced), *self.ask.forced))),
            forbidden=tuple(_numbers(number, self.ask.forbidden)),
            names=[one.name for one in self.types],
        )

    def choice(self, result: Result) -> list[int]:
        """The type of each row."""
        return [int(one) for one in result.assignment]

    def made(self, choice: Sequence[int]) -> tuple[Plant, list[int]]:
        """The plant with a choice made, and the rows that change."""
        fresh: dict[str, Circuit] = {}
        changed = []
        for row, (lay, at) in enumerate(zip(self.lays, choice, strict=True)):
            if at < 0 or self.types[at].name == lay.cable:
                continue
            tag = lay.circuit.tag
            fresh[tag] = with_cable(fresh.get(tag, lay.circuit), lay.runs, self.types[at].name)
            changed.append(row)
        circuits = tuple(fresh.get(one.tag, one) for one in self.plant.circuits)
        return dataclasses.replace(self.plant, circuits=circuits), changed


def _numbers(number: dict[str, int], names: Sequence[str]) -> list[int]:
    unknown = [name for name in names if name not in number]
    if unknown:
        raise UsageError(f"cable {unknown[0]!r}: not one that could be chosen")
    return list(dict.fromkeys(number[name] for name in names))


def _allowed(plant: Plant, ask: Ask, lays: Sequence[Lay]) -> tuple[list[CableType], Bools]:
    """The types that may be chosen, and where they may stand as far as they are built alike."""
    used = {one.cable for one in lays}
    by_name = {one.name: one for one in plant.cables}
    types = [one for one in plant.cables if one.name in used or ask.wishes.obsolete or _made(one)]
    alike = {
        name: np.array([not _replaces(by_name[name], other) for other in types]) for name in used
    }
    return types, np.array([alike[one.cable] for one in lays]).reshape(len(lays), len(types))


def _made(cable: CableType) -> bool:
    """Whether a type is still made, as far as is stated."""
    return Facts((cable.function,), cable.name).word("status") != "obsolete"


def _serving(chosen: _Cables, context: Context, curves: Curves | None, told: Told | None) -> Bools:
    """Which type serves which row, by the rules, the rest of the plant as it stands.

    Circuits that no fault joins with others are judged all at once, a type at a time; the others
    each by itself, among their neighbours as they are.
    """
    out = np.zeros_like(chosen.pairs)
    several = Counter(chosen.tags)
    alone = np.array(
        [several[lay.circuit.tag] == 1 and not merges(lay.circuit, context) for lay in chosen.lays]
    )
    margin = chosen.ask.margin
    for at, kind in enumerate(chosen.types):
        rows = np.flatnonzero(chosen.pairs[:, at])
        swapped = {
            lay.circuit.tag: with_cable(lay.circuit, lay.runs, kind.name)
            for lay in (chosen.lays[row] for row in rows if alone[row])
        }
        circuits = tuple(swapped.get(one.tag, one) for one in chosen.plant.circuits)
        plant = dataclasses.replace(chosen.plant, circuits=circuits)
        if swapped:
            judged = assess(plant, list(swapped), curves=curves)
            for row in rows[alone[rows]]:
                tag = chosen.lays[row].circuit.tag
                out[row, at] = holds(judged, tag, margin, function=chosen.function[tag])
        for row in rows[~alone[rows]]:
            lay = chosen.lays[row]
            state = _one(chosen.plant, lay, kind.name, curves)
            out[row, at] = holds(
                state, lay.circuit.tag, margin, function=chosen.function[lay.circuit.tag]
            )
        if told is not None:
            told(at + 1, len(chosen.types))
    return out


def _one(plant: Plant, lay: Lay, cable: str, curves: Curves | None) -> Assessment:
    """The circuit with a type in these runs, judged among its neighbours as they are."""
    changed = with_cable(lay.circuit, lay.runs, cable)
    part = around(plant, [lay.circuit])
    circuits = tuple(changed if one.tag == changed.tag else one for one in part.circuits)
    return assess(dataclasses.replace(part, circuits=circuits), [changed.tag], curves=curves)


def _prices(types: Sequence[CableType]) -> tuple[npt.NDArray[np.float64], bool]:
    """Prices of a metre, and whether any is stated; where none is, each metre counts 1."""
    found = np.array([Facts((one.function,), one.name).spread("price").nominal for one in types])
    if np.isnan(found).all():
        return np.ones(found.size), False
    return found, True


def fewest_cables(
    plant: Plant,
    ask: Ask | None = None,
    *,
    curves: Curves | None = None,
    progress: Watcher | None = None,
    told: Told | None = None,
) -> Proposal:
    """Choose cable types that serve every circuit of a plant with the margin asked.

    Parameters
    ----------
    plant : Plant
    ask : Ask, optional
        ``stocking`` is the cost of a further type; ``replacing`` that of other cable where what
        is laid serves; ``spare`` is not asked of cables. A metre costs the figure ``price`` of
        its type.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.
    progress : callable, optional
        Told several times a second how far the optimiser is; ends it by False.
    told : callable, optional
        Called with the number of types tried, and of all.

    Returns
    -------
    Proposal
        As of sources; lines count runs, what is bought is metres. A type takes the place of
        another only if both are multicores or neither, have the same kind of screen, and it has
        no fewer cores. Every circuit that was asked was proved in the whole plant so changed,
        and no other lost a verdict.

    Raises
    ------
    UsageError
        Nothing to choose, or a name that is not there.
    SubsparkError
        The proposal could not be made to hold.
    """
    ask = Ask(of="cables") if ask is None else ask
    context = Context.of(plant, curves)
    lays, left = _lays(plant, context)
    if not lays:
        raise UsageError(f"plant {plant.name!r} has no run whose cable could be chosen")
    types, alike = _allowed(plant, ask, lays)
    price, priced = _prices(types)
    chosen = _Cables(
        plant=plant,
        ask=ask,
        lays=lays,
        kept=left,
        types=types,
        pairs=alike,
        function={one.circuit.tag: judgeable(one.circuit, context) for one in lays},
        price=price,
        priced=priced,
    )
    chosen.covering()  # names are refused before anything is judged
    chosen.pairs = _serving(chosen, context, curves, told)
    serving = chosen.pairs.copy()
    return _proposal(chosen, settle(chosen, curves, progress), alike, serving, curves)


def _proposal(
    chosen: _Cables, found: Settled, alike: Bools, serving: Bools, curves: Curves | None
) -> Proposal:
    plant, made = chosen.plant, found.made
    before = Counter(run.cable for one in plant.circuits for run in one.runs if run.cable)
    after = Counter(run.cable for one in made.circuits for run in one.runs if run.cable)
    number = {one.name: at for at, one in enumerate(chosen.types)}
    bought: Counter[str] = Counter()
    for one in found.result.purchases:
        bought[chosen.types[one.type].name] += one.bought
    picked = {chosen.types[at].name for at in found.result.chosen}
    lines = []
    for name in dict.fromkeys((*before, *after)):
        at = number.get(name)
        price = None if at is None or not chosen.priced else float(chosen.price[at])
        stated = None if price is None or math.isnan(price) else price
        counts = (before[name], after[name], bought[name])
        # A type that could not be chosen at all stays where it lies: it is of any choice.
        lines.append(TypeLine(name, "", *counts, stated, name in picked or at is None))
    lines.sort(key=lambda one: (-one.after, -one.before, one.name))
    misses = [
        _miss(chosen, row, alike[row], serving[row], curves)
        for row, at in enumerate(found.choice)
        if at < 0
    ]
    old = {one.tag: one for one in plant.circuits}
    edits = tuple(
        Edit(("circuits", one.tag, "runs", str(at + 1), "cable"), was.cable, run.cable)
        for one in made.circuits
        for at, (was, run) in enumerate(zip(old[one.tag].runs, one.runs, strict=True))
        if was != run
    )
    ask = chosen.ask
    why = f"fewest cable types: {ask.margin:.0%} of each limit at most, {ask.order} first"
    return Proposal(
        ask=ask,
        result=found.result,
        first=found.first,
        lines=tuple(lines),
        misses=tuple(misses),
        left=tuple(chosen.kept),
        change=Change(why, plant.digest, edits),
        priced=chosen.priced,
        rounds=found.rounds,
        struck=found.struck,
    )


def _miss(chosen: _Cables, row: int, alike: Bools, serving: Bools, curves: Curves | None) -> Miss:
    """Why nothing serves a row: how the circuit stands with the type that comes nearest."""
    lay = chosen.lays[row]
    tag = lay.circuit.tag
    tried = []
    for at in np.flatnonzero(alike):
        kind = chosen.types[at].name
        if serving[at]:
            return Miss(tag, kind, "serves by itself, not with what was chosen around it")
        tried.append((states(_one(chosen.plant, lay, kind, curves))[tag], kind))
    if not tried:
        return Miss(tag, "", "no type is built like what is laid")
    state, kind = min(tried, key=lambda one: _order(one[0]))
    return Miss(tag, kind, _why(state, chosen.ask.margin))


def _order(state: State) -> tuple[int, int, float]:
    used = math.inf if state.utilisation is None else state.utilisation
    return int(state.verdict), int(state.works), used


def _why(state: State, margin: float) -> str:
    used = "" if state.utilisation is None else f", {percent(state.utilisation)} used"
    if state.verdict is not Verdict.SAFE:
        return f"{state.verdict.word}: {state.governing}{used}"
    if state.works is not Verdict.SAFE:
        return f"function: {state.works_word}"
    return f"margin: {state.governing}{used}, wanted {percent(margin)} at most"
