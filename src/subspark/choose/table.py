"""Circuits against candidates by the rules themselves: each circuit's side and each source's, once.

A circuit with one source falls into two sides. What it brings (apparatus, cable, place) does not
vary with the source, but for whether that is a barrier with an earth of its own; what a source
brings does not vary with the circuit, but for what the atmosphere asks and where the source
stands. Both sides are made by the same code that makes the cases of a plant, and meet as arrays.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from subspark.assess.cases import expand
from subspark.assess.columns import columns_of
from subspark.assess.context import Context
from subspark.assess.engine import Judged, judge_pairs
from subspark.assess.multicore import merges
from subspark.assess.places import Need
from subspark.assess.rows import Case, PortRow, SourceCase, SourceRow
from subspark.assess.sources import source_cases
from subspark.choose.candidates import Candidate, with_source
from subspark.model import Circuit, Mark, Output, Plant, Port
from subspark.physics.ignition import Curves
from subspark.rules import NOTHING, Columns, Verdict

__all__ = ["Against", "Table", "plain"]

Bools = npt.NDArray[np.bool_]
Floats = npt.NDArray[np.float64]

SOURCE_COLUMNS = frozenset(
    {
        *("U", "I", "P", "Co", "Lo", "Lo_Ro", "half_cap", "linear", "together"),
        *("source_C", "source_L", "permitted", "calculated", "level"),
        *("pair_Co", "pair_Lo", "paired", "behind", "Um"),
        *(one.name for one in dataclasses.fields(Columns) if one.name.startswith("source_")),
    }
)
"""The columns that vary with the source; all others vary with the circuit."""
_WHOLE = frozenset({"code", "memo", "segments"})
_NAMES = tuple(one.name for one in dataclasses.fields(Columns) if one.name not in _WHOLE)
_NO_PORT = (Port(), PortRow(NOTHING, np.inf))


def plain(circuit: Circuit, context: Context) -> bool:
    """Whether a circuit's proof is its own: one source, nothing that binds it to others.

    Of others (several sources, a fieldbus segment, a cable shared without screens of its own, a
    box warmed by several) the arrays tell what cannot serve; what serves is proved whole.
    """
    return (
        len(circuit.sources) == 1
        and circuit.method == "entity"
        and not circuit.system
        and not merges(circuit, context)
        and not any(context.sharing.get(run.number, 0) > 1 for run in circuit.runs)
        and all(context.box(end) is None for run in circuit.runs for end in (run.start, run.end))
    )


class _Side(NamedTuple):
    """A circuit's own side for one class of sources: its cases, none of a tool set aside."""

    cases: tuple[Case, ...]


@dataclass(frozen=True, slots=True)
class Against:
    """One circuit against candidates, shape (m,).

    ``verdict`` is that of safety; ``governing`` indexes the rule; ``utilisation`` is that of
    the governing rule (NaN where it has none).
    """

    verdict: npt.NDArray[np.uint8]
    governing: npt.NDArray[np.uint8]
    utilisation: Floats


@dataclass(slots=True)
class Table:
    """A catalogue of candidates, ready to be tried against circuits of a plant."""

    context: Context
    candidates: tuple[Candidate, ...]
    classes: dict[tuple[str, ...], npt.NDArray[np.intp]]
    _own: frozenset[str] = frozenset()
    _rows: dict[object, Columns] = field(default_factory=dict)
    _circuits: dict[object, list[Circuit]] = field(default_factory=dict)

    @classmethod
    def of(
        cls, plant: Plant, candidates: Sequence[Candidate], curves: Curves | None = None
    ) -> Table:
        """Lay out candidates; those that the plant does not list are added to its sources."""
        known = {one.name for one in plant.sources}
        fresh = {one.kind.name: one.kind for one in candidates if one.kind.name not in known}
        whole = dataclasses.replace(plant, sources=(*plant.sources, *fresh.values()))
        context = Context.of(whole, curves)
        classes: dict[tuple[str, ...], list[int]] = {}
        for place, one in enumerate(candidates):
            classes.setdefault(_class_of(one, context), []).append(place)
        return cls(
            context,
            tuple(candidates),
            {key: np.array(places, dtype=np.intp) for key, places in classes.items()},
            frozenset(one.of for one in plant.declarations if one.scope == "circuit"),
        )

    def sides(self, circuit: Circuit) -> Iterator[tuple[npt.NDArray[np.intp], _Side]]:
        """The circuit's own side, for each class of candidates that it differs for."""
        for places in self.classes.values():
            yield places, _Side(self.own_cases(circuit, int(places[0])))

    def own_cases(self, circuit: Circuit, stand_in: int) -> tuple[Case, ...]:
        """The cases of a circuit with a candidate in its place, none of a tool set aside."""
        changed = with_source(circuit, self.candidates[stand_in])
        return tuple(one for one in expand(0, changed, self.context) if not one.aside)

    def sources(self, circuit: Circuit, case: Case) -> Columns:
        """The candidates' side for what a case asks, shape (m,)."""
        key = self.key(circuit, case.need)
        found = self._rows.get(key)
        if found is None:
            found = self._rows[key] = self._laid_out(circuit, case)
        return found

    def key(self, circuit: Circuit, need: Need) -> object:
        """What the candidates' side depends on: the need, the place, declarations for it alone."""
        return need, *self._place(circuit)

    def _place(self, circuit: Circuit) -> tuple[object, ...]:
        own = circuit.tag in self._own
        blank = dataclasses.replace(circuit.sources[0], tag="", source="-", outputs="", polarity="")
        return blank, circuit.area, circuit.tag if own else ""

    def _laid_out(self, circuit: Circuit, case: Case) -> Columns:
        rows = [
            next(iter(source_cases(one, case.need, self.context)), None)
            for one in self._standing(circuit)
        ]
        found = [
            _unknown(case.sources[0], one) if row is None else row
            for row, one in zip(rows, self.candidates, strict=True)
        ]
        ports = max((len(one.ports) for one in found), default=0)
        padded = [
            one
            if len(one.ports) == ports
            else dataclasses.replace(
                one, ports=(*one.ports, *[_NO_PORT] * (ports - len(one.ports)))
            )
            for one in found
        ]
        cases = [dataclasses.replace(case, sources=(one,)) for one in padded]
        return columns_of(cases, self.context.code, self.context.curves)

    def _standing(self, circuit: Circuit) -> list[Circuit]:
        """The circuit with each candidate; kept for those whose sources stand in one place."""
        key = self._place(circuit)
        found = self._circuits.get(key)
        if found is None:
            found = self._circuits[key] = [with_source(circuit, one) for one in self.candidates]
        return found

    def against(self, circuit: Circuit) -> Against:
        """Judge a plain circuit with each candidate in place of its source.

        The verdict is that of a whole assessment of the circuit so changed, bit for bit.
        """
        count = len(self.candidates)
        verdict = np.zeros(count, dtype=np.uint8)
        governing = np.zeros(count, dtype=np.uint8)
        used = np.full(count, np.nan)
        for places, side in self.sides(circuit):
            found = self._judged(circuit, side, places)
            verdict[places], governing[places], used[places] = found
        return Against(verdict, governing, used)

    def _judged(
        self, circuit: Circuit, side: _Side, places: npt.NDArray[np.intp]
    ) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.uint8], Floats]:
        """The governing case of each candidate: best choice of alternatives, worst atmosphere."""
        judged = [
            self._judge_case(case, _part(self.sources(circuit, case), places))
            for case in side.cases
        ]
        by_atmosphere: dict[int, dict[int, int]] = {}
        for index, case in enumerate(side.cases):
            by_atmosphere.setdefault(case.atmosphere, {})[case.option] = index
        chosen = [
            _best([judged[index] for _, index in sorted(options.items())])
            for options in by_atmosphere.values()
        ]
        return _worst(chosen)

    def _judge_case(self, case: Case, sources: Columns) -> Judged:
        own = columns_of([case], self.context.code, self.context.curves)
        return judge_pairs(joined(own, [case], sources, self.context), (1, sources.U.shape[0]))


def _class_of(one: Candidate, context: Context) -> tuple[str, ...]:
    """What the circuit's own side depends on: barriers are earthed, each as declared for it."""
    if one.kind.isolation == "galvanic":
        return ("galvanic",)
    scoped = any(
        declaration.scope == "source" and declaration.of == one.kind.name
        for declaration in context.plant.declarations
    )
    return (one.kind.isolation, one.kind.name if scoped else "")


def _unknown(like: SourceCase, one: Candidate) -> SourceCase:
    """A candidate of which nothing is known."""
    nan = SourceRow(*(np.nan for _ in SourceRow._fields))
    return dataclasses.replace(
        like, kind=one.kind, output=Output(), mark=Mark(), row=nan, ports=(), pairs=()
    )


def _part(columns: Columns, places: npt.NDArray[np.intp]) -> Columns:
    held = {name: getattr(columns, name)[..., places] for name in _NAMES}
    return Columns(code=columns.code, segments=None, **held)


def joined(own: Columns, cases: Sequence[Case], sources: Columns, context: Context) -> Columns:
    """Columns of n cases against m candidates: (n, 1) of the circuit, (1, m) of the source."""
    held: dict[str, Any] = {}
    for name in _NAMES:
        if name in SOURCE_COLUMNS:
            held[name] = getattr(sources, name)[..., None, :]
        else:
            held[name] = getattr(own, name)[..., None]
    if any(row.LR_default for case in cases for _, row in case.runs):
        held["LR"] = _ratios(cases, sources.I, context)
    return Columns(code=own.code, segments=None, **held)


def _ratios(cases: Sequence[Case], I: Floats, context: Context) -> Floats:  # noqa: E741
    """L/R of each run; the default of a code holds for sources up to some current only."""
    rows = [[row for _, row in case.runs] for case in cases]
    raw = np.array([[row.LR for row in runs] for runs in rows]).T[..., None]
    default = np.array([[row.LR_default for row in runs] for runs in rows]).T[..., None] != 0
    holds = context.code.number("default L/R current") >= I
    ratios: Floats = np.where(default & ~holds[None, None, :], np.nan, raw)
    return ratios


def _best(options: Sequence[Judged]) -> Judged:
    """Of the choices of alternatives the least bad, the first on a tie, candidate by candidate."""
    if len(options) == 1:
        return options[0]
    keys = []
    for one in options:
        unsafe = (one.verdicts == Verdict.UNSAFE).sum(axis=0)
        unproven = (one.verdicts == Verdict.UNPROVEN).sum(axis=0)
        keys.append((one.verdict.astype(np.int64) * 64 + unsafe) * 64 + unproven)
    best = np.argmin(np.stack(keys), axis=0)
    at = np.arange(best.size)
    return Judged(
        np.stack([one.verdict for one in options])[best, at],
        np.stack([one.governing for one in options])[best, at],
        np.stack([one.utilisation for one in options])[best, at],
        np.stack([one.verdicts for one in options])[best, :, at].T,
        np.stack([one.utilisations for one in options])[best, :, at].T,
    )


def _worst(
    cases: Sequence[Judged],
) -> tuple[npt.NDArray[np.uint8], npt.NDArray[np.uint8], Floats]:
    """The governing case: worst verdict, largest utilisation, the first on a tie."""
    verdict, governing, used = cases[0].verdict, cases[0].governing, cases[0].utilisation
    for one in cases[1:]:
        shown, before = comparable(one.utilisation), comparable(used)
        worse = (one.verdict > verdict) | ((one.verdict == verdict) & (shown > before))
        verdict = np.where(worse, one.verdict, verdict)
        governing = np.where(worse, one.governing, governing)
        used = np.where(worse, one.utilisation, used)
    return verdict, governing, used


def comparable(used: Floats) -> Floats:
    """Utilisations for ranking, as the book of cases ranks them: twelve digits, none is -1."""
    with np.errstate(invalid="ignore", divide="ignore"):
        power = 11 - np.floor(np.log10(np.where(used > 0.0, used, 1.0)))
    scale = 10.0**power
    rounded: Floats = np.where(np.isnan(used), -1.0, np.round(used * scale) / scale)
    return np.where(np.isinf(used), used, rounded)
