"""What the rules of function say of every circuit: works, fails or unproven."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np

from subspark.assess.context import Context
from subspark.assess.function.cases import BUILDERS, Each, FunctionCase, Staircase
from subspark.assess.function.engine import Judged, block_columns, judge_function
from subspark.assess.function.facts import EXACT, Loop, loop_of
from subspark.assess.words import percent
from subspark.model import Circuit
from subspark.quantity import (
    CURRENT,
    DIFFERENCE,
    FREQUENCY,
    LENGTH,
    POWER,
    RATIO,
    RESISTANCE,
    TIME,
    VOLTAGE,
    Kind,
    Spread,
    show,
)
from subspark.rules.bound import All, Bound, Verdict, utilisations, verdicts
from subspark.rules.function import FunctionRule, columns_of, nominal
from subspark.rules.function.registry import KINDS

__all__ = ["FunctionAssessment", "FunctionFinding", "FunctionRuleFinding", "word"]

UNITS: dict[str, Kind] = {
    "V": VOLTAGE,
    "A": CURRENT,
    "ohm": RESISTANCE,
    "W": POWER,
    "K": DIFFERENCE,
    "%": RATIO,
    "s": TIME,
    "Hz": FREQUENCY,
    "m": LENGTH,
}
_WORDS = {
    Verdict.SAFE: "works",
    Verdict.UNSAFE: "fails",
    Verdict.UNPROVEN: "unproven",
    Verdict.NOT_ASKED: "not asked",
}
DIGITS = 4


def word(verdict: Verdict) -> str:
    """The word for a verdict of function."""
    return _WORDS[verdict]


@dataclass(frozen=True, slots=True)
class FunctionRuleFinding:
    """What one rule of function says of one device of a circuit.

    ``demand`` and ``limit`` are at the worst corner, ``nominal_demand`` and ``nominal_limit``
    with every figure at its nominal value [SI; None where unknown or nothing is asked].
    ``at`` is the current at which it decides, where it is compared at several.
    """

    rule: FunctionRule
    of: str
    verdict: Verdict
    demand: float | None
    limit: float | None
    utilisation: float | None
    nominal_demand: float | None
    nominal_limit: float | None
    at: float | None = None

    @property
    def word(self) -> str:
        """The verdict in a word."""
        return word(self.verdict)

    def _show(self, value: float | None) -> str:
        if value is None:
            return "not known"
        kind = UNITS.get(self.rule.unit)
        return f"{value:.{DIGITS}g}" if kind is None else show(value, kind, DIGITS)

    @property
    def demand_text(self) -> str:
        """The demand with its unit."""
        return "nothing asked" if self.verdict is Verdict.NOT_ASKED else self._show(self.demand)

    @property
    def limit_text(self) -> str:
        """The limit with its unit."""
        return "nothing asked" if self.verdict is Verdict.NOT_ASKED else self._show(self.limit)

    @property
    def at_text(self) -> str:
        """The current at which it decides; blank where there is none."""
        return "" if self.at is None else f"at {show(self.at, CURRENT, DIGITS)}"

    @property
    def sentence(self) -> str:
        """Relation with its numbers put in."""
        sign = {Verdict.SAFE: "<=", Verdict.UNSAFE: ">"}.get(self.verdict, "against")
        at = f", {self.at_text}" if self.at is not None else ""
        return f"{self.demand_text} {sign} {self.limit_text} ({self.of}{at})"

    @property
    def nominal_sentence(self) -> str:
        """The same at nominal values; blank where they are not known."""
        if self.nominal_demand is None or self.nominal_limit is None:
            return ""
        return f"nominal {self._show(self.nominal_demand)} against {self._show(self.nominal_limit)}"


@dataclass(frozen=True, slots=True)
class FunctionFinding:
    """Whether one circuit works, and why; it says nothing of safety.

    ``rules`` are those of the device that governs; ``devices`` the worst verdict of each.
    ``missing`` names what is not known where the verdict leans on it.
    """

    tag: str
    verdict: Verdict
    kind: str
    governing: str
    utilisation: float | None
    rules: dict[str, FunctionRuleFinding]
    devices: tuple[tuple[str, Verdict], ...]
    staircase: Staircase | None
    missing: tuple[str, ...]
    assumptions: tuple[str, ...]

    @property
    def word(self) -> str:
        """The verdict in a word."""
        return word(self.verdict)

    @property
    def sentence(self) -> str:
        """The verdict in one sentence."""
        said = self.word.capitalize()
        if self.verdict is Verdict.UNPROVEN:
            lacks = "; ".join(self.missing[:3]) or "what it needs"
            more = f" and {len(self.missing) - 3} more" if len(self.missing) > 3 else ""
            return f"{said}. Not known: {lacks}{more}."
        if not self.governing:
            return f"{said}."
        found = self.rules[self.governing]
        used = "" if self.utilisation is None else f", {percent(self.utilisation)} used"
        at = f" {found.at_text}" if found.at is not None else ""
        if self.verdict is Verdict.SAFE:
            return (
                f"{said}. Closest limit: {self.governing}{used}: "
                f"{found.demand_text} of {found.limit_text}{at}."
            )
        return (
            f"{said}. {self.governing[0].upper()}{self.governing[1:]}{used}: "
            f"{found.demand_text} against {found.limit_text} ({found.of}){at}."
        )

    def as_dict(self) -> dict[str, Any]:
        """Plain data for JSON; see docs/json.md."""
        return {
            "verdict": self.word,
            "kind": self.kind or None,
            "governing": self.governing or None,
            "utilisation": self.utilisation,
            "rules": {
                name: {
                    "of": one.of,
                    "demand": one.demand,
                    "limit": one.limit,
                    "unit": one.rule.unit or None,
                    "utilisation": one.utilisation,
                    "verdict": one.word,
                    "nominal demand": one.nominal_demand,
                    "nominal limit": one.nominal_limit,
                    "at": one.at,
                    "demand text": one.demand_text,
                    "limit text": one.limit_text,
                }
                for name, one in self.rules.items()
            },
            "devices": [{"of": of, "verdict": word(said)} for of, said in self.devices],
            "missing": list(self.missing),
            "assumptions": list(self.assumptions),
        }


class _Place(NamedTuple):
    """Where a case stands: its group and its row in it."""

    group: int
    row: int


class FunctionAssessment:
    """Whether the circuits of a plant work. Details are worked out when they are asked for."""

    def __init__(self, circuits: Sequence[Circuit], context: Context) -> None:
        self.context = context
        self.circuits = tuple(circuits)
        self._loops: list[Loop] = [loop_of(circuit, context) for circuit in circuits]
        self.cases: list[FunctionCase] = []
        self._of: list[list[int]] = []
        for loop in self._loops:
            found = [case for build in BUILDERS for case in build(loop)]
            self._of.append(list(range(len(self.cases), len(self.cases) + len(found))))
            self.cases += found
        self._groups = judge_function(self.cases)
        self._place: dict[int, _Place] = {}
        for group, (_, places) in enumerate(self._groups):
            for row, place in enumerate(places):
                self._place[place] = _Place(group, row)
        self._index = {circuit.tag: i for i, circuit in enumerate(self.circuits)}

    def _judged(self, case: int) -> tuple[Judged, int]:
        place = self._place[case]
        return self._groups[place.group][0], place.row

    def _rank(self, case: int) -> tuple[int, float, int]:
        """Worst verdict and largest utilisation of a case, and the rule that governs it."""
        judged, row = self._judged(case)
        said, used = judged.verdicts[:, row], judged.utilisations[:, row]
        worst = int(said.max(initial=0))
        shares = np.where((said == worst) & ~np.isnan(used), used, -1.0)
        at = int(np.argmax(shares)) if said.size else -1
        if said.size and shares[at] < 0.0:
            at = int(np.argmax(said == worst))
        return worst, float(shares[at]) if said.size else -1.0, at

    def _shares(self, case: int) -> float:
        """Sum of all utilisations of a case."""
        judged, row = self._judged(case)
        return float(np.nansum(judged.utilisations[:, row]))

    def verdict(self, tag: str) -> Verdict:
        """Whether a circuit works, without its working."""
        cases = self._of[self._index[tag]]
        if not cases:
            return Verdict.UNPROVEN
        return Verdict(max(self._rank(case)[0] for case in cases) or int(Verdict.UNPROVEN))

    def staircases(self, tag: str, at: float = math.nan) -> Iterator[tuple[str, Staircase]]:
        """The kind and the staircase of each device of a circuit.

        Parameters
        ----------
        tag : str
            The circuit.
        at : float
            Current [A] at which a budget that depends on one is told; NaN for its worst end.
        """
        for place in self._of[self._index[tag]]:
            case = self.cases[place]
            told = case.stairs(at) if case.stairs is not None else None
            if told is not None:
                yield case.kind, told

    @property
    def kinds(self) -> frozenset[str]:
        """The kinds of circuits that were judged."""
        return frozenset(one.kind for one in self.cases)

    @property
    def counts(self) -> dict[str, int]:
        """How many circuits work, fail and are unproven."""
        found = Counter(word(self.verdict(one.tag)) for one in self.circuits)
        return {name: found.get(name, 0) for name in ("works", "fails", "unproven")}

    def __getitem__(self, tag: str) -> FunctionFinding:
        return self._finding(self._index[tag])

    def __iter__(self) -> Iterator[FunctionFinding]:
        return (self._finding(index) for index in range(len(self.circuits)))

    def __len__(self) -> int:
        return len(self.circuits)

    def _finding(self, index: int) -> FunctionFinding:
        loop, cases = self._loops[index], self._of[index]
        if not cases:
            return _nothing(loop)
        ranks = [self._rank(case) for case in cases]
        # What holds for all devices alike is the same for each: then the device with less left.
        shares = [self._shares(case) for case in cases]
        worst = max(range(len(cases)), key=lambda i: (*ranks[i][:2], shares[i], -i))
        case, (said, used, at) = self.cases[cases[worst]], ranks[worst]
        verdict = Verdict(said or int(Verdict.UNPROVEN))
        rules = self._rules(cases[worst])
        judged, _ = self._judged(cases[worst])
        governing = judged.rules[at].name if at >= 0 else ""
        missing: tuple[str, ...] = ()
        if verdict is Verdict.UNPROVEN:
            missing = tuple(dict.fromkeys(one for i in cases for one in self._missing(i)))
        current = rules[governing].at if governing else None
        stairs = case.stairs(math.nan if current is None else current) if case.stairs else None
        return FunctionFinding(
            tag=loop.circuit.tag,
            verdict=verdict,
            kind=case.kind,
            governing=governing,
            utilisation=used if used >= 0.0 else None,
            rules=rules,
            devices=tuple(
                (self.cases[one].of, Verdict(rank[0]))
                for one, rank in zip(cases, ranks, strict=True)
            ),
            staircase=stairs,
            missing=missing,
            assumptions=_notes([self.cases[i] for i in cases]),
        )

    def _rules(self, place: int) -> dict[str, FunctionRuleFinding]:
        case = self.cases[place]
        judged, _ = self._judged(place)
        columns = block_columns(case.kind, [case])
        middle = nominal(columns)
        found = {}
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            for rule in judged.rules:
                found[rule.name] = _rule_finding(rule, case, columns, middle)
        return found

    def _missing(self, place: int) -> Iterator[str]:
        """The figures that unproven rules of a case need and do not have."""
        case = self.cases[place]
        judged, row = self._judged(place)
        yield from case.lacks
        whats = {one.name: one.what for one in columns_of(KINDS[case.kind].columns)}
        for rule, said in zip(judged.rules, judged.verdicts[:, row].tolist(), strict=True):
            if said == Verdict.UNPROVEN:
                for name in rule.needs:
                    if _unknown(case.values.get(name), table=name in _tables(case.kind)):
                        yield whats[name]


def _notes(cases: Sequence[FunctionCase]) -> tuple[str, ...]:
    """What was assumed, each once; the figures without a tolerance in one line."""
    notes = dict.fromkeys(note for case in cases for note in case.notes)
    exact = [note.removesuffix(EXACT) for note in notes if note.endswith(EXACT)]
    told = [note for note in notes if not note.endswith(EXACT)]
    if exact:
        told.append(f"taken as exact, for no tolerance is stated: {'; '.join(exact)}")
    return tuple(told)


def _tables(kind: str) -> frozenset[str]:
    return frozenset(one.name for one in columns_of(KINDS[kind].columns) if one.sort == "table")


def _unknown(held: object, *, table: bool) -> bool:
    if isinstance(held, Spread):
        return math.isnan(held.low) or math.isnan(held.high)
    if isinstance(held, float):
        return math.isnan(held)
    if isinstance(held, Each):
        return not held.known
    if isinstance(held, tuple):
        return not held or any(math.isnan(one.value.low + one.value.high) for one in held)
    return True if not table else held is None


def _nothing(loop: Loop) -> FunctionFinding:
    """A circuit of which too little is known to say of which kind it is."""
    lacks = [f"role of {one.label}" for one in (*loop.sources, *loop.devices) if not one.role]
    if not lacks:
        roles = ", ".join(sorted({one.role for one in (*loop.sources, *loop.devices)}))
        lacks = [f"how these work together: {roles}" if roles else "source and apparatus"]
    return FunctionFinding(
        tag=loop.circuit.tag,
        verdict=Verdict.UNPROVEN,
        kind="",
        governing="",
        utilisation=None,
        rules={},
        devices=(),
        staircase=None,
        missing=tuple(lacks),
        assumptions=(),
    )


class _Side(NamedTuple):
    verdict: int
    demand: float
    limit: float
    used: float
    at: float


def _sides(bound: Bound) -> Iterator[_Side]:
    said = verdicts(bound)
    used = utilisations(bound, said)
    at = (
        np.full(said.shape, math.nan) if bound.at is None else np.broadcast_to(bound.at, said.shape)
    )
    columns = (
        said,
        np.broadcast_to(bound.demand, said.shape),
        np.broadcast_to(bound.limit, said.shape),
        used,
        at,
    )
    return (
        _Side(int(one[0]), *one[1:])
        for one in zip(*(column.ravel().tolist() for column in columns), strict=True)
    )


def _deciding(answer: Bound | All) -> _Side | None:
    bounds = (answer,) if isinstance(answer, Bound) else answer.bounds
    sides = [one for bound in bounds for one in _sides(bound)]
    return max(
        sides,
        key=lambda one: (one.verdict, -math.inf if math.isnan(one.used) else one.used),
        default=None,
    )


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _rule_finding(
    rule: FunctionRule,
    case: FunctionCase,
    columns: Any,  # noqa: ANN401 - of the rule's kind
    middle: Any,  # noqa: ANN401
) -> FunctionRuleFinding:
    worst, usual = _deciding(rule.evaluate(columns)), _deciding(rule.evaluate(middle))
    if worst is None or worst.verdict == Verdict.NOT_ASKED:
        return FunctionRuleFinding(
            rule, case.of, Verdict.NOT_ASKED, None, None, None, None, None, None
        )
    return FunctionRuleFinding(
        rule=rule,
        of=case.of,
        verdict=Verdict(worst.verdict),
        demand=_finite(worst.demand),
        limit=_finite(worst.limit),
        utilisation=_finite(worst.used),
        nominal_demand=None if usual is None else _finite(usual.demand),
        nominal_limit=None if usual is None else _finite(usual.limit),
        at=_finite(worst.at),
    )
