"""Findings: what the rules say of every circuit, ready to be read, printed or compared."""

from __future__ import annotations

import dataclasses
import math
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple, overload

import numpy as np

from subspark.assess.book import CaseBook
from subspark.assess.cases import expand
from subspark.assess.context import Context
from subspark.assess.function import FunctionAssessment, FunctionFinding
from subspark.assess.multicore import MergedSets, merges, partners, portrait
from subspark.assess.needs import Missing, needs_for, rank
from subspark.assess.needs import Need as Lack
from subspark.assess.places import Need
from subspark.assess.rows import Case
from subspark.assess.words import k_word, percent, segment_unit, sides
from subspark.errors import UsageError
from subspark.model import Circuit, Plant, StandaloneCircuit
from subspark.physics.ignition import Curves
from subspark.rules import RULES, All, Bound, Code, Columns, Rule, Verdict, energy
from subspark.rules.bound import utilisations, verdicts

__all__ = ["Assessment", "CaseFinding", "Finding", "RuleFinding", "assess"]


@dataclass(frozen=True, slots=True)
class RuleFinding:
    """What one rule says of one case.

    ``demand`` and ``limit`` are SI numbers or ranks of the member that decides (``of``), None
    where unknown or nothing limits; ``demand_text`` and ``limit_text`` are for people.
    ``by`` is "L" or "L/R" for the rule of inductance.
    """

    rule: Rule
    verdict: Verdict
    demand: float | None
    limit: float | None
    unit: str
    utilisation: float | None
    demand_text: str
    limit_text: str
    of: str = ""
    by: str = ""
    clause: str = ""

    @property
    def sentence(self) -> str:
        """Relation with its numbers put in."""
        sign = {Verdict.SAFE: "<=", Verdict.UNSAFE: ">"}.get(self.verdict, "against")
        of = f" ({self.of})" if self.of else ""
        limit = f" {sign} {self.limit_text}" if self.limit_text else ""
        return f"{self.demand_text}{limit}{of}"

    @property
    def comparison(self) -> str:
        """Both sides and the member that decides, as the end of a sentence."""
        demand = "what is not known" if self.demand_text == "unknown" else self.demand_text
        limit = "an unknown limit" if self.limit_text == "unknown" else self.limit_text
        of = f" ({self.of})" if self.of else ""
        return f"{demand}{f' against {limit}' if limit else ''}{of}"


class CaseFinding(NamedTuple):
    """One case of a circuit and its verdict."""

    name: str
    verdict: Verdict
    governing: str
    utilisation: float | None
    place: int


@dataclass(frozen=True, slots=True)
class Finding:
    """What the rules say of one circuit.

    ``rules`` are those of the governing case; ``cases`` lists every case. ``without_tool`` is
    the verdict with service tools taken off, None where there are none. ``works`` is another
    question, whether the circuit works: it is never merged with the verdict of safety.
    """

    tag: str
    service: str
    verdict: Verdict
    governing: str
    utilisation: float | None
    k: float | str | None
    case: str
    rules: dict[str, RuleFinding]
    cases: tuple[CaseFinding, ...]
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    without_tool: Verdict | None
    code: str
    curves: str
    works: FunctionFinding

    @property
    def sentence(self) -> str:
        """The verdict in one sentence."""
        word = self.verdict.word.capitalize()
        if not self.governing:
            return f"{word}."
        found = self.rules[self.governing]
        used = "" if self.utilisation is None else f", {percent(self.utilisation)} used"
        if self.verdict is Verdict.SAFE:
            sides = f"{found.demand_text} of {found.limit_text}"
            return f"{word}. Closest limit: {self.governing}{used}: {sides}."
        return f"{word}. {self.governing.capitalize()}{used}: {found.comparison}."

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "tag": self.tag,
            "service": self.service,
            "verdict": self.verdict.word,
            "governing": self.governing or None,
            "utilisation": self.utilisation,
            "k": self.k,
            "case": self.case,
            "rules": {
                name: {
                    "demand": one.demand,
                    "limit": one.limit,
                    "unit": one.unit or None,
                    "utilisation": one.utilisation,
                    "verdict": one.verdict.word,
                    "demand text": one.demand_text,
                    "limit text": one.limit_text,
                    "of": one.of or None,
                    "by": one.by or None,
                    "clause": one.clause,
                }
                for name, one in self.rules.items()
            },
            "cases": [
                {
                    "case": one.name,
                    "verdict": one.verdict.word,
                    "governing": one.governing or None,
                    "utilisation": one.utilisation,
                }
                for one in self.cases
            ],
            "assumptions": list(self.assumptions),
            "warnings": list(self.warnings),
            "without tool": None if self.without_tool is None else self.without_tool.word,
            "works": self.works.as_dict(),
        }

    def __repr__(self) -> str:
        return f"<Finding {self.tag}: {self.sentence}>"

    def _repr_html_(self) -> str:
        from subspark.assess.notebook import finding_html

        return finding_html(self)


class _Chosen(NamedTuple):
    """The cases of one circuit that count, the governing one, and those set aside."""

    counted: list[int]
    governing: int
    aside: list[int]


class Summary(NamedTuple):
    """One circuit in short, without its working."""

    tag: str
    service: str
    area: str
    verdict: Verdict
    governing: str
    utilisation: float | None


class Assessment:
    """Verdicts of the circuits of a plant. Details are worked out when they are asked for."""

    def __init__(
        self, plant: Plant, circuits: tuple[Circuit, ...], curves: Curves | None = None
    ) -> None:
        self.plant = plant
        self.circuits = circuits
        self.context = Context.of(plant, curves)
        self._book = CaseBook(self.context.code, self.context.curves)
        place_of = {circuit.tag: place for place, circuit in enumerate(plant.circuits)}
        asked = [place_of[circuit.tag] for circuit in circuits]
        joined = {one for circuit in circuits for one in partners(circuit, self.context)}
        # Circuits that faults may join with those asked are judged too, out of sight.
        places = [*asked, *sorted(joined - set(asked))]
        lists = [
            list(expand(index, plant.circuits[place], self.context))
            for index, place in enumerate(places)
        ]
        entered = self._book.enter(case for cases in lists for case in cases)
        self._chosen = []
        options: dict[tuple[int, Need], int] = {}
        start = entered.start
        for place, cases in zip(places, lists, strict=True):
            chosen = self._choose(range(start, start + len(cases)))
            start += len(cases)
            self._chosen.append(chosen)
            for one in chosen.counted:
                case = self._book.cases[one]
                options[place, case.need] = case.option
        self._merge(asked, options)
        self._index = {circuit.tag: i for i, circuit in enumerate(circuits)}
        self._last: Finding | None = None  # a page or paper asks for the same one again and again

    def _choose(self, span: range) -> _Chosen:
        """Best choice of alternatives in each atmosphere; then the worst case of all."""
        by_atmosphere: dict[int, dict[int, list[int]]] = {}
        aside: dict[tuple[int, int], list[int]] = {}
        for place in span:
            case = self._book.cases[place]
            if case.aside:
                aside.setdefault((case.atmosphere, case.option), []).append(place)
            else:
                options = by_atmosphere.setdefault(case.atmosphere, {})
                options.setdefault(case.option, []).append(place)
        counted: list[int] = []
        off: list[int] = []
        for atmosphere, options in by_atmosphere.items():
            best = next(iter(options))
            if len(options) > 1:
                best = min(
                    options, key=lambda option: (*self._book.badness(options[option]), option)
                )
            counted += options[best]
            spare = [places for (a, _), places in aside.items() if a == atmosphere]
            if spare:
                fewest: list[int] = min(spare, key=self._book.badness)
                off += fewest
        return _Chosen(counted, self._book.worst(counted), off)

    def _merge(self, asked: list[int], options: dict[tuple[int, Need], int]) -> None:
        """Prove circuits of a shared multicore together where nothing keeps them apart."""
        known: dict[tuple[str, Need], MergedSets] = {}
        for index, place in enumerate(asked):
            chosen = self._chosen[index]
            needs = dict.fromkeys(self._book.cases[one].need for one in chosen.counted)
            merged: list[Case] = []
            for number in merges(self.plant.circuits[place], self.context):
                for need in needs:
                    if (number, need) not in known:
                        portraits = [
                            portrait(one, need, options.get((one, need)), self.context)
                            for one in self.context.sharers[number]
                        ]
                        known[number, need] = MergedSets(number, need, portraits, self.context)
                    merged += known[number, need].cases_for(place, index)
            if merged:
                counted = [*chosen.counted, *self._book.enter(merged)]
                self._chosen[index] = _Chosen(counted, self._book.worst(counted), chosen.aside)

    @cached_property
    def function(self) -> FunctionAssessment:
        """Whether the circuits work: worked out when it is first asked for."""
        return FunctionAssessment(self.circuits, self.context)

    @property
    def cases(self) -> list[Case]:
        """Every case entered, by place."""
        return self._book.cases

    def __len__(self) -> int:
        return len(self.circuits)

    def __iter__(self) -> Iterator[Finding]:
        return (self._finding(index) for index in range(len(self.circuits)))

    def __getitem__(self, tag: str) -> Finding:
        last = self._last
        if last is not None and last.tag == tag:
            return last
        if tag not in self._index:
            self.plant.circuit(tag)
            raise UsageError(f"circuit {tag!r} was not assessed")
        self._last = found = self._finding(self._index[tag])
        return found

    def summaries(self) -> Iterator[Summary]:
        """Every circuit in short, in order."""
        for index, circuit in enumerate(self.circuits):
            place = self._chosen[index].governing
            yield Summary(
                circuit.tag,
                circuit.service,
                circuit.area,
                Verdict(int(self._book.verdict[place])),
                self._book.rule_name(place),
                _number(self._book.utilisation[place]),
            )

    @cached_property
    def counts(self) -> dict[str, int]:
        """How many circuits are safe, unsafe and unproven."""
        found = Counter(summary.verdict.word for summary in self.summaries())
        return {word: found.get(word, 0) for word in ("safe", "unsafe", "unproven")}

    @property
    def judges_function(self) -> bool:
        """Whether any circuit has figures by which it can be judged whether it works."""
        return bool(self.function.kinds)

    @property
    def verdict_of_plant(self) -> Verdict:
        """The worst verdict."""
        return max((summary.verdict for summary in self.summaries()), default=Verdict.NOT_ASKED)

    def columns(self, place: int) -> Columns:
        """Columns of one case alone."""
        return self._book.columns(place)

    def governing_place(self, tag: str) -> int:
        """Place of the governing case of a circuit among all cases."""
        return self._chosen[self._index[tag]].governing

    def counted_places(self, tag: str) -> tuple[int, ...]:
        """Places of the cases of a circuit that count."""
        return tuple(self._chosen[self._index[tag]].counted)

    def rule_findings(self, place: int) -> dict[str, RuleFinding]:
        """What every rule says of one case."""
        columns, case = self.columns(place), self.cases[place]
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            return {rule.name: _rule_finding(rule, columns, case, self.context) for rule in RULES}

    def _finding(self, index: int) -> Finding:
        circuit, chosen = self.circuits[index], self._chosen[index]
        place, code = chosen.governing, self.context.code
        rules = self.rule_findings(place)
        counted = [self.cases[one] for one in chosen.counted]
        off = max((int(self._book.verdict[one]) for one in chosen.aside), default=0)
        return Finding(
            tag=circuit.tag,
            service=circuit.service,
            verdict=Verdict(int(self._book.verdict[place])),
            governing=self._book.rule_name(place),
            utilisation=_number(self._book.utilisation[place]),
            k=k_word(self.columns(place)),
            case=self.cases[place].name,
            rules=rules,
            cases=tuple(
                CaseFinding(
                    self.cases[one].name,
                    Verdict(int(self._book.verdict[one])),
                    self._book.rule_name(one),
                    _number(self._book.utilisation[one]),
                    one,
                )
                for one in chosen.counted
            ),
            assumptions=_unique(_told(note, code) for case in counted for note in case.assumptions),
            warnings=_unique(_told(note, code) for case in counted for note in case.warnings),
            without_tool=Verdict(off) if chosen.aside else None,
            code=code.title,
            curves=self.context.curves.name,
            works=self.function[circuit.tag],
        )

    def missing_of(self, tag: str) -> frozenset[Lack]:
        """What a circuit lacks to be judged: over every case that counts."""
        found: set[Lack] = set()
        for place in self._chosen[self._index[tag]].counted:
            for index in np.flatnonzero(self._book.verdicts[:, place] == Verdict.UNPROVEN):
                found |= needs_for(RULES[int(index)].name, self.cases[place], tag)
        say = self.context.code.say
        return frozenset(dataclasses.replace(one, what=say(one.what)) for one in found)

    def missing(self) -> list[Missing]:
        """The few values and declarations that would settle most unproven circuits."""
        return rank(
            self.missing_of(one.tag) for one in self.summaries() if one.verdict is Verdict.UNPROVEN
        )

    def __repr__(self) -> str:
        said = ", ".join(f"{count} {word}" for word, count in self.counts.items())
        return f"<Assessment of {self.plant.name}: {len(self)} circuits, {said}>"

    def _repr_html_(self) -> str:
        from subspark.assess.notebook import assessment_html

        return assessment_html(self)


def _number(value: float) -> float | None:
    return None if math.isnan(value) else float(value)


def _told(note: str, code: Code) -> str:
    """A note in the symbols of the code, but for the name before it and words that it quotes."""
    name, colon, rest = note.partition(": ")
    ours, quote, words = (rest or name).partition('"')
    return f"{name + colon if colon else ''}{code.say(ours)}{quote}{words}"


def _unique(notes: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(notes))


class _Side(NamedTuple):
    """The member that decides a rule in one case, with its numbers."""

    bound: Bound
    member: int
    verdict: Verdict
    demand: float
    limit: float
    used: float


def _members(bound: Bound, quantity: bool) -> Iterator[_Side]:
    """Every member of a bound of one case."""
    said = verdicts(bound)
    demands = np.broadcast_to(bound.demand, said.shape).ravel().tolist()
    limits = np.broadcast_to(bound.limit, said.shape).ravel().tolist()
    used = utilisations(bound, said).ravel().tolist() if quantity else [math.nan] * said.size
    rows = zip(said.ravel().tolist(), demands, limits, used, strict=True)
    for member, (verdict, demand, limit, share) in enumerate(rows):
        yield _Side(bound, member, Verdict(verdict), demand, limit, share)


def _deciding(answer: Bound | All, quantity: bool) -> _Side | None:
    """The member that decides a case: worst verdict, nearest, lowest limit; None where none is."""
    bounds = (answer,) if isinstance(answer, Bound) else answer.bounds

    def rank(one: _Side) -> tuple[int, float, float]:
        near = one.used if quantity else one.demand - one.limit
        return (
            one.verdict,
            -math.inf if math.isnan(near) else float(f"{near:.12g}"),
            -math.inf if math.isnan(one.limit) else -one.limit,
        )

    return max(
        (one for bound in bounds for one in _members(bound, quantity)), key=rank, default=None
    )


def _rule_finding(rule: Rule, columns: Columns, case: Case, context: Context) -> RuleFinding:
    quantity = rule.sort == "quantity"
    clause = context.code.clause(rule.name)
    one = _deciding(rule.evaluate(columns), quantity)
    if one is None or one.verdict is Verdict.NOT_ASKED:
        text = "no apparatus" if one is None and quantity else "nothing asked"
        return RuleFinding(rule, Verdict.NOT_ASKED, None, None, "", None, text, text, clause=clause)
    by, unit = "", one.bound.what if one.bound.what in _UNITS else rule.unit
    if columns.segments is not None:
        unit = unit or segment_unit(one.bound.what)
    if rule.name == "inductance":
        ratio = bool(energy.by_ratio(columns)[0])
        by, unit = ("L/R", "H/ohm") if ratio else ("L", "H")
    shown = sides(rule, one.bound, one.member, one.demand, one.limit, case, by)
    return RuleFinding(
        rule=rule,
        verdict=one.verdict,
        demand=_finite(one.demand),
        limit=_finite(one.limit),
        unit=unit,
        utilisation=_number(one.used),
        demand_text=shown.demand,
        limit_text=shown.limit,
        of=shown.of,
        by=by,
        clause=clause,
    )


_UNITS = frozenset({"V", "A", "W", "ohm", "m", "m2", "degC"})
"""Units by which a bound may be named, where a rule has bounds in several."""


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


@overload
def assess(
    thing: Plant, tags: Iterable[str] | None = None, *, curves: Curves | None = None
) -> Assessment: ...
@overload
def assess(thing: StandaloneCircuit, *, curves: Curves | None = None) -> Finding: ...


def assess(
    thing: Plant | StandaloneCircuit,
    tags: Iterable[str] | None = None,
    *,
    curves: Curves | None = None,
) -> Assessment | Finding:
    """Judge one circuit or the circuits of a plant.

    Parameters
    ----------
    thing : Plant or StandaloneCircuit
        Its ``code`` names the edition of the rules.
    tags : iterable of str, optional
        Only these circuits of a plant.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.

    Returns
    -------
    Assessment or Finding
        Verdict, governing rule, utilisation and working of every circuit, or of the one.

    Raises
    ------
    UsageError
        A tag or code that is not there.
    """
    if isinstance(thing, StandaloneCircuit):
        return assess(thing.plant(), curves=curves)[thing.tag]
    if tags is None:
        return Assessment(thing, thing.circuits, curves)
    known = {one.tag: one for one in thing.circuits}
    chosen = tuple(known[tag] if tag in known else thing.circuit(tag) for tag in tags)
    return Assessment(thing, chosen, curves)
