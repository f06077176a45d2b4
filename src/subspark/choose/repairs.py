"""The smallest change that mends a circuit: what to obtain, then what to change, by effort.

Each repair is one change. It is laid over the plant and the circuit assessed again, among all
that it is bound to, before it is shown; what would turn another circuit worse says so.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from subspark.assess import assess
from subspark.assess.function.facts import Loop, loop_of
from subspark.choose.around import around
from subspark.choose.candidates import use_of
from subspark.choose.change import ADDED, Change, Edit, apply, edit
from subspark.choose.fits import Search
from subspark.choose.longest import longest
from subspark.choose.whatif import State, states, what_if
from subspark.errors import SubsparkError
from subspark.model import Circuit, Datum, Plant, content
from subspark.physics.ignition import Curves
from subspark.quantity import CURRENT, RESISTANCE, VOLTAGE, show
from subspark.rules import Verdict

__all__ = ["Repair", "Repairs", "repairs"]

EFFORTS = (
    "obtain",
    "set",
    "shorten",
    "join cores",
    "other cable",
    "move junction",
    "leave out",
    "supply or load",
    "other source",
    "other apparatus",
    "two circuits",
)
"""Sorts of repair, the least effort first; common practice, no source."""
STEPS = 40
MOST = 3
"""Repairs of one sort that are shown."""


@dataclass(frozen=True, slots=True)
class Repair:
    """One repair. ``change`` is blank of edits where something is to be obtained first.

    ``after`` is how the circuit stands once it is made; ``worse`` are other circuits that
    would lose a verdict by it.
    """

    sort: str
    says: str
    change: Change
    after: State | None
    worse: tuple[str, ...]

    @property
    def effort(self) -> int:
        """Place among the sorts of repair."""
        return EFFORTS.index(self.sort)


@dataclass(frozen=True, slots=True)
class Repairs:
    """How a circuit stands, and what would mend it, the least effort first."""

    tag: str
    before: State
    repairs: tuple[Repair, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing is to be mended."""
        return self.before.verdict is Verdict.SAFE and self.before.works is not Verdict.UNSAFE


@dataclass(frozen=True, slots=True)
class _Trial:
    sort: str
    says: str
    edits: tuple[Edit, ...]


class _Bench:
    """One circuit of a plant on the bench."""

    def __init__(self, plant: Plant, tag: str, curves: Curves | None) -> None:
        self.plant, self.tag, self.curves = plant, tag, curves
        self.circuit = plant.circuit(tag)
        self.known = {one.tag for one in plant.circuits}
        self.part = around(plant, [self.circuit])
        self.assessment = assess(self.part, [tag], curves=curves)
        self.before = states(self.assessment)[tag]

    @cached_property
    def loop(self) -> Loop:
        """The circuit as function sees it."""
        return loop_of(self.circuit, self.assessment.context)

    @cached_property
    def search(self) -> Search:
        """The plant's sources, to be tried."""
        return Search(self.plant, curves=self.curves)

    def place(self, *steps: str) -> tuple[str, ...]:
        """A place of the circuit."""
        return ("circuits", self.tag, *steps)

    def put(self, *steps: str, to: Any) -> Edit:  # noqa: ANN401 - any content
        """An edit of the circuit."""
        return edit(self.plant, self.place(*steps), to)

    def state(self, edits: tuple[Edit, ...]) -> State | None:
        """How the circuit stands with edits made; None where they cannot be."""
        try:
            changed = apply(self.plant, edits)
            wanted = {self.tag} | ({one.tag for one in changed.circuits} - self.known)
            circuits = [one for one in changed.circuits if one.tag in wanted]
            found = assess(
                around(changed, circuits), [one.tag for one in circuits], curves=self.curves
            )
        except SubsparkError:
            return None
        listed = states(found)
        worst = max(listed.values(), key=lambda one: (one.verdict, one.works))
        return worst if len(listed) > 1 else listed[self.tag]

    def mends(self, after: State | None) -> bool:
        """Whether a circuit that stands so is mended."""
        if after is None or after.verdict is not Verdict.SAFE:
            return False
        if self.before.works is Verdict.UNSAFE:
            return after.works is Verdict.SAFE
        return after.works <= self.before.works


def _shorter(bench: _Bench) -> Iterator[_Trial]:
    """Each run by itself as long as it may be, whole metres."""
    for at, run in enumerate(bench.circuit.runs):
        if not run.length.si > 0.0:
            continue
        (found,) = longest(bench.part, [bench.tag], run=at, curves=bench.curves)
        if found.length is None or found.length >= run.length.si:
            continue
        metres = math.floor(found.length) if found.length >= 1.0 else found.length
        label = run.number or run.cable or f"run {at + 1}"
        yield _Trial(
            "shorten",
            f"run {label}: {metres:g} m at the most, instead of {run.length.text} "
            f"(bound by {found.binds})",
            (bench.put("runs", str(at + 1), "length", to=f"{metres} m"),),
        )


def _joined_cores(bench: _Bench) -> Iterator[_Trial]:
    for at, run in enumerate(bench.circuit.runs):
        if run.length.si > 0.0 and run.parallel is None:
            yield _Trial(
                "join cores",
                f"run {run.number or run.cable}: two cores joined for each conductor",
                (bench.put("runs", str(at + 1), "parallel", to=2),),
            )


def _cables(bench: _Bench) -> Iterator[_Trial]:
    """Other cable types: for each run by itself, and for all runs; the thinnest that mends."""
    known = sorted(
        bench.plant.cables, key=lambda one: (math.isnan(one.section.si), one.section.si, one.name)
    )
    runs = [at for at, run in enumerate(bench.circuit.runs) if run.cable]
    own = [at for at in runs if bench.assessment.context.sharing.get(
        bench.circuit.runs[at].number, 0) <= 1]  # fmt: skip
    choices = [[at] for at in own] + ([own] if len(own) > 1 else [])
    for chosen in choices:
        for cable in known:
            if all(bench.circuit.runs[at].cable == cable.name for at in chosen):
                continue
            labels = ", ".join(bench.circuit.runs[at].number or f"run {at + 1}" for at in chosen)
            edits = tuple(bench.put("runs", str(at + 1), "cable", to=cable.name) for at in chosen)
            yield _Trial("other cable", f"{labels}: cable {cable.name}", edits)


def _moved(bench: _Bench) -> Iterator[_Trial]:
    """Length moved from one run to the next, by a junction that stands elsewhere."""
    runs = bench.circuit.runs
    pairs = [
        (at, other)
        for at in range(len(runs))
        for other in range(len(runs))
        if at != other and runs[at].end and runs[at].end in (runs[other].start, runs[other].end)
    ]
    pairs += [(b, a) for a, b in pairs if (b, a) not in pairs]
    for taken, given in pairs:
        first, second = runs[taken].length.si, runs[given].length.si
        if not (first > 0.0 and second >= 0.0):
            continue
        for share in (0.1, 0.25, 0.5, 0.75, 0.9):
            metres = max(1.0, math.ceil(first * share))
            if metres >= first:
                continue
            edits = (
                bench.put("runs", str(taken + 1), "length", to=f"{first - metres:g} m"),
                bench.put("runs", str(given + 1), "length", to=f"{second + metres:g} m"),
            )
            box = runs[taken].end or runs[taken].start
            yield _Trial("move junction", f"junction {box}: {metres:g} m nearer", edits)


def _without(bench: _Bench) -> Iterator[_Trial]:
    """Indicators and other items in series left out."""
    roles = {one.label: one.role for one in bench.loop.devices}
    for at, member in enumerate(bench.circuit.members):
        label = member.tag or member.apparatus
        if roles.get(label) not in ("indicator", "series element"):
            continue
        kept = [one for n, one in enumerate(bench.circuit.members) if n != at]
        edits = (bench.put("members", to=[content(one) for one in kept]),)
        yield _Trial("leave out", f"{roles[label]} {label} left out", edits)


def _figure(bench: _Bench, what: str, value: str) -> Edit:
    """A functional figure of the circuit, in place of the one it has."""
    kept = [one for one in bench.circuit.function if one.what != what]
    fresh = Datum(what=what, value=value)  # type: ignore[arg-type]
    return bench.put("function", to=[content(one) for one in (*kept, fresh)])


def _settings(bench: _Bench) -> Iterator[_Trial]:
    """A lower alarm current, as the transmitter can be set."""
    if not bench.loop.of_role("two-wire transmitter"):
        return
    (device,) = bench.loop.of_role("two-wire transmitter")[:1]
    now = device.facts.spread("high alarm current").high
    if bench.loop.own.rows("high alarm current"):
        now = bench.loop.own.spread("high alarm current").high
    for amperes in (21.0e-3, 20.5e-3):
        if amperes < now:
            shown = show(amperes, CURRENT)
            how = "set to fail low" if amperes == 20.5e-3 else "high alarm set lower"
            yield _Trial(
                "set",
                f"{device.label}: {how}, {shown} at the most instead of {show(now, CURRENT)}",
                (_figure(bench, "high alarm current", shown),),
            )


def _supply(bench: _Bench) -> Iterator[_Trial]:
    """A higher supply, or a lower load, on the safe side."""
    supply = bench.loop.own.spread("supply voltage")
    if not math.isnan(supply.low + supply.high):
        for more in (0.5, 1.0, 1.5, 2.0, 3.0, 4.0):
            low, high = (show(end + more, VOLTAGE, 6) for end in (supply.low, supply.high))
            yield _Trial(
                "supply or load",
                f"supply {low} to {high} instead of {show(supply.low, VOLTAGE, 6)} to "
                f"{show(supply.high, VOLTAGE, 6)}",
                (_figure(bench, "supply voltage", f"{low} to {high}"),),
            )
    load = bench.loop.own.spread("load resistance").high
    for ohms in (250.0, 100.0, 50.0):
        if math.isnan(load) or ohms == load:
            continue
        yield _Trial(
            "supply or load",
            f"load {show(ohms, RESISTANCE)} instead of {show(load, RESISTANCE)}",
            (_figure(bench, "load resistance", show(ohms, RESISTANCE)),),
        )


def _sources(bench: _Bench) -> Iterator[_Trial]:
    """Other sources of the catalogue, the best first."""
    if not bench.circuit.sources:
        return
    roles = {one.kind.name: one.role for one in bench.loop.sources}
    for at, use in enumerate(bench.circuit.sources):
        for one in bench.search.fits(bench.tag, 2 * MOST, at):
            if one.present or one.verdict is not Verdict.SAFE or one.filters.refused:
                continue
            uses = list(bench.circuit.sources)
            uses[at] = use_of(use, one.candidate)
            word = "isolator for barrier: " if _isolates(roles.get(use.source, ""), one) else ""
            yield _Trial(
                "other source",
                f"{word}source {one.label} instead of {use.source}",
                (bench.put("sources", to=[content(use) for use in uses]),),
            )


def _isolates(role: str, one: Any) -> bool:  # noqa: ANN401 - a fit
    kind = one.candidate.kind
    return role == "shunt-diode barrier" and kind.isolation == "galvanic"


def _apparatus(bench: _Bench) -> Iterator[_Trial]:
    """Other apparatus of the same role; where none is stated, a person must name them."""
    context = bench.assessment.context
    for at, member in enumerate(bench.circuit.members):
        now = context.items[member.apparatus]
        role = next((one.role for one in bench.loop.devices if one.use is member), "")
        for name, item in context.items.items():
            if name == member.apparatus or type(item) is not type(now):
                continue
            stated = {row.value for row in item.function if row.what == "role"}
            if not role or stated != {role}:
                continue
            connections = {entry.connection for entry in getattr(item, "entries", ())}
            if member.connection and member.connection not in connections:
                continue
            label = member.tag or f"apparatus {at + 1}"
            yield _Trial(
                "other apparatus",
                f"{label}: {name} instead of {member.apparatus}",
                (bench.put("members", str(at + 1), "apparatus", to=name),),
            )


def _split(bench: _Bench) -> Iterator[_Trial]:
    """Two circuits instead of one, each with a source of the same type and the same runs."""
    circuit = bench.circuit
    if len(circuit.members) < 2 or len(circuit.sources) != 1 or circuit.method != "entity":
        return
    half = (len(circuit.members) + 1) // 2
    known = bench.known
    tag = next(t for n in range(2, 99) if (t := f"{circuit.tag}-{n}") not in known)
    use = dataclasses.replace(circuit.sources[0], tag="")
    runs = tuple(dataclasses.replace(run, number="") for run in circuit.runs)
    other = dataclasses.replace(
        circuit, tag=tag, sources=(use,), members=circuit.members[half:], runs=runs
    )
    first = [content(one) for one in circuit.members[:half]]
    yield _Trial(
        "two circuits",
        f"two circuits: {', '.join(_tags(circuit, 0, half))} here, "
        f"{', '.join(_tags(circuit, half, None))} by a source of its own",
        (
            bench.put("members", to=first),
            Edit(("circuits", ADDED), None, content(other)),
        ),
    )


def _tags(circuit: Circuit, start: int, end: int | None) -> list[str]:
    return [one.tag or one.apparatus for one in circuit.members[start:end]]


_TRIALS = (
    _settings,
    _shorter,
    _joined_cores,
    _cables,
    _moved,
    _without,
    _supply,
    _sources,
    _apparatus,
    _split,
)


def _obtained(bench: _Bench) -> Iterator[Repair]:
    """What is to be obtained before the circuit can be judged at all."""
    nothing = Change("", bench.plant.digest, ())
    if bench.before.verdict is Verdict.UNPROVEN:
        for need in sorted(bench.assessment.missing_of(bench.tag)):
            yield Repair("obtain", f"{need} ({need.how})", nothing, None, ())


def repairs(plant: Plant, tag: str, *, curves: Curves | None = None, each: int = MOST) -> Repairs:
    """What would mend a circuit that is unsafe, unproven or does not work.

    Parameters
    ----------
    plant : Plant
    tag : str
        The circuit.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.
    each : int
        How many repairs of one sort are wanted.

    Returns
    -------
    Repairs
        Single changes, each proved by assessing the circuit with it, the least effort first;
        what is to be obtained stands before them. None is listed of a sound circuit.

    Raises
    ------
    UsageError
        There is no such circuit.
    """
    bench = _Bench(plant, tag, curves)
    empty = Repairs(tag, bench.before, ())
    if empty.sound:
        return empty
    found = list(_obtained(bench))
    for make in _TRIALS:
        kept: list[Repair] = []
        for trial in make(bench):
            if len(kept) >= (1 if trial.sort == "move junction" else each):
                break
            after = bench.state(trial.edits)
            if not bench.mends(after):
                continue
            touched = what_if(plant, trial.edits, curves=curves)
            worse = tuple(one.tag for one in touched.worse if one.tag != tag)
            change = Change(trial.says, plant.digest, trial.edits)
            kept.append(Repair(trial.sort, trial.says, change, after, worse))
        found += kept
    found.sort(key=lambda one: (one.effort, bool(one.worse)))
    return Repairs(tag, bench.before, tuple(found))
