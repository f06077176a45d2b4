"""How far each input of one circuit may move before a verdict changes, and what then binds.

The engine is asked, never restated. Each input walks from what it is, down and up, while all
others stay: first over a coarse grid (:data:`FACTORS` of a magnitude, :data:`KELVINS` of a
temperature), then by halving between the last place of the grid that keeps the verdict and the
first that does not. Where a circuit fails at two neighbours of the grid by different rules, the gap
between them is searched too, for a supply that is first too low and then too high may be right in
between. Any other step that comes back within one gap of the grid (the verdict changes and changes
again between two neighbours) can be missed; the end that is told is always one at which the verdict
does change.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from subspark.assess.function.findings import word
from subspark.choose.sensitivity_copies import Answer, Copies, Variant
from subspark.choose.sensitivity_inputs import Input, inputs_of
from subspark.choose.sensitivity_lattice import (
    COLDEST,
    DIGITS,
    FACTORS,
    HOTTEST,
    KELVINS,
    Lattice,
    lattice_of,
)
from subspark.model import Plant
from subspark.physics.ignition import Curves
from subspark.quantity import Kind, show
from subspark.rules import Verdict
from subspark.rules import code as edition

__all__ = ["COLDEST", "FACTORS", "HOTTEST", "KELVINS", "End", "Sensed", "Sensitivity", "Span",
           "sensitivity"]  # fmt: skip

Question = Literal["safety", "works"]
_KELVINS_PER_FOLD = 100.0


@dataclass(frozen=True, slots=True)
class End:
    """Where a verdict changes: the last value that keeps it, what binds, what it then becomes.

    ``value`` is None where nothing changes as far as was tried. ``binds`` is the rule that fails
    beyond; where the verdict becomes better, the rule that fails up to there.
    """

    value: float | None = None
    binds: str = ""
    becomes: str = ""

    @property
    def bound(self) -> bool:
        """Whether a verdict changes on this side."""
        return self.value is not None


@dataclass(frozen=True, slots=True)
class Span:
    """The interval around the present value in which a verdict stays what it is."""

    low: End = End()
    high: End = End()


@dataclass(frozen=True, slots=True)
class Sensed:
    """One input, and how far it may move. ``works`` is None where function is not judged."""

    input: Input
    feet: bool
    safety: Span | None
    works: Span | None

    @property
    def label(self) -> str:
        """What it is, for people."""
        return self.input.label

    @property
    def kind(self) -> Kind:
        """Its quantity."""
        return self.input.kind

    @property
    def now(self) -> float:
        """What it is now [SI]."""
        return self.input.now

    def show(self, value: float) -> str:
        """A value of it with its unit."""
        return show(value, self.kind, DIGITS, feet=self.feet)

    @property
    def ends(self) -> Iterator[tuple[Question, End]]:
        """Every end at which something changes."""
        spans: list[tuple[Question, Span | None]] = [("safety", self.safety), ("works", self.works)]
        for question, span in spans:
            if span is not None:
                yield from ((question, one) for one in (span.low, span.high) if one.bound)

    def move(self, value: float) -> float:
        """How far a value is from the present one: ln of the factor; 100 K count as one."""
        if self.kind.signed:
            return (value - self.now) / _KELVINS_PER_FOLD
        if self.now == value:
            return 0.0
        return math.log(value / self.now) if self.now > 0.0 < value else math.inf

    @property
    def tightness(self) -> float:
        """The smaller of its moves; +inf where nothing changes."""
        return min((abs(self.move(one.value or 0.0)) for _, one in self.ends), default=math.inf)


@dataclass(frozen=True, slots=True)
class Sensitivity:
    """How far each input of a circuit may move; the tightest first."""

    tag: str
    verdict: str
    governing: str
    works: str
    works_governing: str
    inputs: tuple[Sensed, ...]
    unknown: tuple[Input, ...]
    judged: int = field(compare=False, default=0)

    def __getitem__(self, place: str) -> Sensed:
        """The input at a place, steps with slashes between, or of that label."""
        for one in self.inputs:
            if place in ("/".join(one.input.place), one.label):
                return one
        raise KeyError(place)

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON."""
        return {
            "tag": self.tag,
            "verdict": self.verdict,
            "governing": self.governing or None,
            "works": self.works,
            "works governing": self.works_governing or None,
            "inputs": [_as_dict(one) for one in self.inputs],
            "unknown": [
                {"place": list(one.place), "input": one.label, "text": one.text or None}
                for one in self.unknown
            ],
        }


def _as_dict(one: Sensed) -> dict[str, Any]:
    def end(told: End) -> dict[str, Any] | None:
        if told.value is None:
            return None
        return {
            "value": told.value,
            "text": one.show(told.value),
            "binds": told.binds or None,
            "becomes": told.becomes,
        }

    def span(told: Span | None) -> dict[str, Any] | None:
        return None if told is None else {"low": end(told.low), "high": end(told.high)}

    return {
        "place": list(one.input.place),
        "input": one.label,
        "now": one.now,
        "text": one.show(one.now),
        "safety": span(one.safety),
        "works": span(one.works),
    }


@dataclass(slots=True)
class _Gap:
    """Two neighbours of a grid that fail by different rules: halved by the rule of the nearer."""

    kept: int
    beyond: int
    rule: str
    found: int | None = None
    answer: Answer | None = None

    @property
    def open(self) -> bool:
        """Whether there is more to ask."""
        return self.answer is None and abs(self.beyond - self.kept) > 1

    @property
    def middle(self) -> int:
        """The place half way."""
        return (self.kept + self.beyond) // 2

    def learn(self, place: int, answer: Answer, *, same: bool) -> None:
        """Take over what the engine says of a place."""
        if not same:
            self.found, self.answer = place, answer
        elif answer.governing == self.rule:
            self.kept = place
        else:
            self.beyond = place


@dataclass(slots=True)
class _Walk:
    """One input on its way down or up, for one question: the bracket that is halved."""

    input: Input
    lattice: Lattice
    up: bool
    question: Question
    kept: int | None = None
    changed: int | None = None
    answer: Answer | None = None
    hints: list[int] = field(default_factory=list)
    gaps: list[_Gap] = field(default_factory=list)

    @property
    def open(self) -> bool:
        """Whether there is a place between the two."""
        if self.changed is None or self.kept is None:
            return False
        return abs(self.changed - self.kept) > 1

    def next(self) -> int:
        """The place to ask next: a hint within the bracket, else half way."""
        ends = (self.kept or 0, self.changed or 0)
        while self.hints:
            place = self.hints.pop()
            if min(ends) < place < max(ends):
                return place
        return sum(ends) // 2

    def learn(self, place: int, answer: Answer, *, same: bool) -> None:
        """Take over what the engine says of a place."""
        if same:
            self.kept = place
        else:
            self.changed, self.answer = place, answer

    def variant(self, place: int) -> Variant:
        """The input at a place."""
        return Variant(self.input, self.lattice.value(place))


class _Search:
    """All inputs of one circuit, walked at once."""

    def __init__(self, copies: Copies, inputs: Sequence[Input], *, feet: bool) -> None:
        assessment = copies.assessment
        self.copies, self.inputs = copies, inputs
        (found,) = assessment.summaries()
        self.safe = Answer(found.verdict, found.governing)
        works = assessment.function[found.tag]
        self.works = Answer(works.verdict, works.governing)
        self.lattices = [lattice_of(one.kind, feet=feet) for one in inputs]
        self.judged = 0

    @property
    def questions(self) -> tuple[Question, ...]:
        """What is asked: function only where it can be judged."""
        return ("safety",) if self.works.verdict is Verdict.UNPROVEN else ("safety", "works")

    def _base(self, question: Question) -> Answer:
        return self.safe if question == "safety" else self.works

    def run(self) -> dict[tuple[int, bool, Question], _Walk]:
        """Where each walk ends, by number of the input, direction and question."""
        grids = [
            (number, up, self._grid(number, up=up))
            for number in range(len(self.inputs))
            for up in (False, True)
        ]
        asked = [
            Variant(self.inputs[number], self.lattices[number].value(place))
            for number, _, grid in grids
            for place in grid
        ]
        self.judged += len(asked)
        walks = {}
        for question, told in self._over_grid(asked).items():
            answers = iter(told)
            for number, up, grid in grids:
                row = [next(answers) for _ in grid]
                walks[number, up, question] = self._bracket(number, up, question, grid, row)
            mine = [one for (_, _, asks), one in walks.items() if asks == question]
            self._search_gaps(question, mine)
            self._halve(question, mine)
        return walks

    def _over_grid(self, asked: Sequence[Variant]) -> dict[Question, list[Answer]]:
        """What the engine says all over the grids; of failing function also why."""
        if len(self.questions) == 1:
            return {"safety": self.copies.safety(asked)}
        if self.works.verdict > Verdict.SAFE:
            return {
                "safety": self.copies.safety(asked),
                "works": self.copies.function(asked, why=True),
            }
        both = self.copies.both(asked)
        return {
            "safety": [one for one, _ in both],
            "works": [Answer(one, "") for _, one in both],
        }

    def _grid(self, number: int, *, up: bool) -> list[int]:
        one, lattice = self.inputs[number], self.lattices[number]
        if one.now == 0.0 and not lattice.signed:
            return lattice.from_nothing(one.kind) if up else []
        return lattice.grid(one.now, up=up, least=one.least, most=one.most)

    def _bracket(
        self, number: int, up: bool, question: Question, grid: list[int], row: list[Answer]
    ) -> _Walk:
        one, lattice = self.inputs[number], self.lattices[number]
        walk = _Walk(one, lattice, up, question)
        walk.kept = _start(one, lattice, up=up, grid=grid)
        base = before = self._base(question)
        for place, answer in zip(grid, row, strict=True):
            if answer.verdict is base.verdict > Verdict.SAFE:
                if answer.governing != before.governing:
                    walk.gaps.append(_Gap(walk.kept, place, before.governing))
                before = answer
            same = answer.verdict is base.verdict
            walk.learn(place, answer, same=same)
            if not same:
                break
        walk.hints = self._hints(walk)
        return walk

    def _hints(self, walk: _Walk) -> list[int]:
        """Where other figures of the same quantity stand: limits are often just there."""
        if walk.changed is None:
            return []
        same = {
            one.now for one in self.inputs if one.kind is walk.input.kind and one is not walk.input
        }
        places = [
            walk.lattice.index(one, up=up) for one in sorted(same - {0.0}) for up in (False, True)
        ]
        return [place + by for place in dict.fromkeys(places) for by in (-1, 1, 0)]

    def _search_gaps(self, question: Question, walks: list[_Walk]) -> None:
        """Between two places that fail by different rules, look where neither does."""

        def ask(asked: Sequence[Variant]) -> list[Answer]:
            if question == "safety":
                return self.copies.safety(asked)
            return self.copies.function(asked, why=True)

        base = self._base(question).verdict
        found = [(one, gap) for one in walks for gap in one.gaps]
        while active := [(one, gap) for one, gap in found if gap.open]:
            places = [gap.middle for _, gap in active]
            asked = [one.variant(place) for (one, _), place in zip(active, places, strict=True)]
            self.judged += len(asked)
            for (_, gap), place, answer in zip(active, places, ask(asked), strict=True):
                gap.learn(place, answer, same=answer.verdict is base)
        for one in walks:
            first = next((gap for gap in one.gaps if gap.answer is not None), None)
            if first is not None:
                one.kept, one.changed, one.answer = first.kept, first.found, first.answer
                one.hints = []

    def _halve(self, question: Question, walks: list[_Walk]) -> None:
        """Halve every bracket until nothing lies between its ends."""
        ask: Callable[[Sequence[Variant]], list[Answer]] = self.copies.safety
        if question == "works":
            ask = self.copies.function
        base = self._base(question).verdict
        while active := [one for one in walks if one.open]:
            places = [one.next() for one in active]
            asked = [one.variant(place) for one, place in zip(active, places, strict=True)]
            self.judged += len(asked)
            for one, place, answer in zip(active, places, ask(asked), strict=True):
                one.learn(place, answer, same=answer.verdict is base)
        if question == "works":
            ended = [one for one in walks if one.changed is not None]
            asked = [one.variant(one.changed or 0) for one in ended]
            for one, answer in zip(ended, self.copies.function(asked, why=True), strict=True):
                one.answer = answer

    def end(self, walk: _Walk) -> End:
        """What a walk found."""
        if walk.changed is None or walk.kept is None or walk.answer is None:
            return End()
        base, answer = self._base(walk.question), walk.answer
        better = answer.verdict < base.verdict
        said = answer.verdict.word if walk.question == "safety" else word(answer.verdict)
        start = _start(walk.input, walk.lattice, up=walk.up, grid=[walk.changed])
        value = walk.input.now if walk.kept == start else walk.lattice.value(walk.kept)
        return End(value, base.governing if better else answer.governing, said)


def _start(one: Input, lattice: Lattice, *, up: bool, grid: list[int]) -> int:
    """The place from which a walk sets out: the present value, or that just before it."""
    if one.now == 0.0 and not lattice.signed:
        return (grid[0] if grid else 0) - 1
    return lattice.index(one.now, up=not up)


def sensitivity(plant: Plant, tag: str, *, curves: Curves | None = None) -> Sensitivity:
    """How far each numeric input of a circuit may move before a verdict changes.

    Parameters
    ----------
    plant : Plant
    tag : str
        The circuit.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.

    Returns
    -------
    Sensitivity
        For each input the interval around its present value in which the circuit stays as safe
        (or unsafe, or unproven) as it is, and that in which it works (or fails) as it does. An
        end has six significant digits (a temperature, thousandths of a degree): there the
        verdict holds, and one unit of the last digit further it does not. No end stands where
        nothing changes down to a thousandth and up to a thousand times the value, or from -100
        to 400 degC. A figure of a type moves for all circuits that use it; a declaration that
        holds for the whole plant, for this circuit alone. Whole numbers (cores), sizes of
        wire and figures without a number are not moved. Function that is not judged is not asked.

    Raises
    ------
    UsageError
        A tag that is not there.

    Notes
    -----
    Safety is monotone in the limits and demands themselves, but steps occur (1 % of Co or Lo of
    the lumped rule, tables of temperature, rows of an ignition table), and function is not
    monotone. What is told is the first change on the walk over the grid. See the module for what
    can be missed.
    """
    copies = Copies(plant, tag, curves)
    every = inputs_of(copies.part, tag, copies.assessment)
    moving = [one for one in every if one.varies]
    feet = edition(plant.code).by_drawing
    search = _Search(copies, moving, feet=feet)
    walks = search.run()

    def span(number: int, question: Question) -> Span | None:
        if question not in search.questions:
            return None
        low, high = (search.end(walks[number, up, question]) for up in (False, True))
        return Span(low, high)

    found = [
        Sensed(one, feet, span(number, "safety"), span(number, "works"))
        for number, one in enumerate(moving)
    ]
    order = sorted(range(len(found)), key=lambda i: (found[i].tightness, not any(found[i].ends), i))
    return Sensitivity(
        tag=tag,
        verdict=search.safe.verdict.word,
        governing=search.safe.governing,
        works=word(search.works.verdict),
        works_governing=search.works.governing,
        inputs=tuple(found[i] for i in order),
        unknown=tuple(one for one in every if not one.varies),
        judged=search.judged,
    )
