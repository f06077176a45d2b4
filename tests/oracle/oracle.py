"""The exact oracle: ``judge(inputs)`` gives what a worked case expects.

Pure Python, exact fractions, written from the rules of the trade (IEC 60079-11, -14, -25, NEC 504,
all from memory) and from nothing else: it knows no code of the library that it checks.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from oracle import suitability_rules as suit
from oracle.combine import Case, cases, expand_outputs
from oracle.multicore import merged_cases
from oracle.parts import Apparatus, Area, read_apparatus, read_area, read_run, read_source
from oracle.quantities import Json, Notes, read, significant, written
from oracle.quantity_rules import (
    BADNESS,
    SAFE,
    UNPROVEN,
    UNSAFE,
    Demand,
    Rule,
    Storage,
    demand_of,
    longest_run,
    quantity_rules,
)
from oracle.temperature_rule import temperature_class

QUANTITY = ("voltage", "current", "power", "capacitance", "inductance", "permitted current")
SUITABILITY = (
    "supply",
    "level",
    "group",
    "temperature class",
    "ambient",
    "simple",
    "earthing",
    "barrier earth",
    "place",
    "conditions",
    "cable",
    "own energy",
)
ORDER = QUANTITY + SUITABILITY
INFINITE = Fraction(10**30)
BELOW = Fraction(-1)


@dataclass(slots=True)
class Result:
    """One case, judged."""

    case: Case
    area: Area
    name: str
    rules: dict[str, Rule]
    demand: Demand
    stored: Storage
    verdict: str
    governing: str
    longest: list[tuple[Fraction, str]] | None = None

    @property
    def utilisation(self) -> Fraction:
        return _rank(self.rules[self.governing], self.governing)

    def count(self, verdict: str) -> int:
        return sum(1 for rule in self.rules.values() if rule.verdict == verdict)


def _rank(rule: Rule, name: str) -> Fraction:
    if name not in QUANTITY:
        return BELOW
    if rule.utilisation is None:
        return INFINITE if rule.verdict == UNSAFE else BELOW
    return rule.utilisation


def govern(rules: dict[str, Rule]) -> tuple[str, str]:
    """Verdict and governing rule of one case."""
    unsafe = [name for name in ORDER if rules[name].verdict == UNSAFE]
    if unsafe:
        energy = [name for name in unsafe if name in QUANTITY]
        if energy:
            return UNSAFE, max(energy, key=lambda name: _rank(rules[name], name))
        return UNSAFE, unsafe[0]
    unproven = [name for name in ORDER if rules[name].verdict == UNPROVEN]
    if unproven:
        return UNPROVEN, unproven[0]
    return SAFE, max(QUANTITY, key=lambda name: _rank(rules[name], name))


def worst_of(results: Sequence[Result]) -> Result:
    """The governing case: worst verdict, then utilisation of its rule, then the first."""
    return max(results, key=lambda r: (BADNESS[r.verdict], r.utilisation))


@dataclass(slots=True)
class Circuit:
    """What is given, once alternatives are chosen."""

    sources: list[Json]
    apparatus: list[Json]
    runs: list[Json]
    declarations: Json
    joined: object
    ask: int | None
    multicore: object


def prove_case(
    notes: Notes,
    case: Case,
    area: Area,
    items: list[Apparatus],
    circuit: Circuit,
    *,
    earthed: bool,
    points: Rule,
    runs_data: Sequence[Json] | None = None,
) -> Result:
    data = circuit.runs if runs_data is None else runs_data
    runs = [read_run(notes, n, run, area.code, earthed=earthed) for n, run in enumerate(data, 1)]
    demand = demand_of(case, items, runs)
    rules, stored = quantity_rules(case, items, demand)
    certified = [a for a in items if not a.simple]
    declared = circuit.declarations
    rules["supply"] = suit.supply(notes, case, declared)
    rules["level"] = suit.level(case, area, certified)
    rules["group"] = suit.group(notes, case, area, certified)
    rules["temperature class"] = temperature_class(notes, area, items, case.P)
    rules["ambient"] = suit.ambient(notes, case, area, items)
    rules["simple"] = suit.simple(notes, items)
    rules["earthing"] = points
    rules["barrier earth"] = suit.barrier_earth(notes, case, declared)
    rules["place"] = suit.place(notes, case, area, certified, declared)
    rules["conditions"] = suit.conditions(case, items)
    rules["cable"] = suit.cable(runs, declared)
    rules["own energy"] = suit.own_energy(notes, items)
    for text in case.notes:
        Notes.add(notes.open_points, text)
    verdict, governing = govern(rules)
    longest = None
    if circuit.ask is not None:
        longest = longest_run(case, demand, stored, runs, circuit.ask)
    return Result(case, area, case.name, rules, demand, stored, verdict, governing, longest)


def prove(notes: Notes, area: Area, circuit: Circuit) -> list[Result]:
    """Every case of the circuit in one atmosphere."""
    sources = [read_source(notes, s) for data in circuit.sources for s in expand_outputs(data)]
    items = [read_apparatus(notes, a) for a in circuit.apparatus]
    earthed = suit.circuit_earthed(sources, items, circuit.declarations)
    points = suit.earthing(sources, items, circuit.declarations)
    area.circuit = suit.asked_of_circuit(notes, area, sources, items)
    screened = any(run.get("screen") == "earthed" for run in circuit.runs)
    if screened and earthed and not suit.certainly_earthed(sources, items):
        Notes.add(notes.open_points, "earthed screen, earth of the circuit not known")
    results = [
        prove_case(notes, case, area, items, circuit, earthed=earthed, points=points)
        for case in cases(notes, sources, area, circuit.joined)
    ]
    for case, more, runs in merged_cases(notes, sources, area, circuit.multicore):
        merged = items + more
        results.append(
            prove_case(
                notes,
                case,
                area,
                merged,
                circuit,
                earthed=suit.circuit_earthed(case.sources, merged, circuit.declarations),
                points=suit.earthing(case.sources, merged, circuit.declarations),
                runs_data=[*circuit.runs, *runs],
            )
        )
    return results


def choices(items: Sequence[Json]) -> Iterator[tuple[list[str], list[Json]]]:
    """Every combination of one alternative of each item; methods are never mixed."""
    lists: list[list[tuple[str | None, Json]]] = []
    for data in items:
        rows = data.get("alternatives")
        if not isinstance(rows, list):
            lists.append([(None, data)])
            continue
        base = {k: v for k, v in data.items() if k != "alternatives"}
        kept: list[tuple[str | None, Json]] = [
            (f"{base.get('name')}: {number}", {**base, **row})
            for number, row in enumerate(rows, 1)
            if row.get("method", "entity") == "entity"
        ]
        lists.append(kept or [(f"{base.get('name')}: none", base)])
    for chosen in itertools.product(*lists):
        yield [label for label, _ in chosen if label], [data for _, data in chosen]


def atmospheres(area: Json) -> list[Json]:
    rows = area.get("atmospheres")
    if not isinstance(rows, list):
        return [area]
    base = {k: v for k, v in area.items() if k != "atmospheres"}
    return [{**base, **row} for row in rows]


def hybrid(notes: Notes, area: Json, areas: Sequence[Area]) -> bool:
    """May a hybrid mixture form? Then a person decides."""
    if not {"G", "D"} <= {a.kind for a in areas} or area.get("hybrid") == "no":
        return False
    Notes.add(notes.open_points, "hybrid mixture")
    return True


def judge(inputs: Json) -> Json:
    """Judge the inputs of a worked case: verdict, rules, cases and all that is told with them."""
    tool = inputs.get("service tool")
    if not isinstance(tool, dict):
        return _judge(inputs, inputs["apparatus"])
    without = _judge(inputs, inputs["apparatus"])
    result = _judge(inputs, [*inputs["apparatus"], {"name": "service tool", **tool}])
    result["without service tool"] = {"verdict": without["verdict"]}
    result["with service tool"] = {"verdict": result["verdict"]}
    return result


def _judge(inputs: Json, apparatus: Sequence[Json]) -> Json:
    ask = inputs.get("ask") or {}
    best: list[tuple[Notes, list[str], list[Result]]] = []
    listed: list[Json] = []
    bad: list[str] = []
    own = Notes()
    count = len(inputs["sources"])
    items = [*inputs["sources"], *apparatus]
    areas: list[Area] = []
    rows = atmospheres(inputs["area"])
    for row in rows:
        found: list[tuple[tuple[int, int, int], Notes, list[str], list[Result]]] = []
        area = read_area(own, row)
        areas.append(area)
        for labels, chosen in choices(items):
            notes = Notes()
            circuit = Circuit(
                chosen[:count],
                chosen[count:],
                inputs.get("runs", []),
                inputs.get("declarations", {}),
                inputs.get("joined"),
                ask.get("run"),
                inputs.get("multicore"),
            )
            results = prove(notes, area, circuit)
            top = worst_of(results)
            for text in notes.bad:
                Notes.add(bad, text)
            failing = [n for n in ORDER if top.rules[n].verdict in (UNSAFE, UNPROVEN)]
            if labels:
                listed.append(
                    {
                        "atmosphere": area.label,
                        "choice": labels,
                        "verdict": top.verdict,
                        "governing rule": top.governing,
                        "failing": failing,
                    }
                )
            key = (BADNESS[top.verdict], top.count(UNSAFE), top.count(UNPROVEN))
            found.append((key, notes, labels, results))
        _, notes, labels, results = min(found, key=lambda one: one[0])
        if len(rows) > 1:
            for result in results:
                result.name = f"{area.label}: {result.name}"
        best.append((notes, labels, results))
    for text in own.bad:
        Notes.add(bad, text)
    return _report(inputs, best, listed, bad, doubtful=hybrid(own, inputs["area"], areas), own=own)


def _report(
    inputs: Json,
    best: Sequence[tuple[Notes, list[str], list[Result]]],
    listed: list[Json],
    bad: list[str],
    *,
    doubtful: bool,
    own: Notes,
) -> Json:
    results = [result for _, _, found in best for result in found]
    top = worst_of(results)
    labels = next(labels for _, labels, found in best if any(r is top for r in found))
    verdict, governing = top.verdict, top.governing
    if doubtful and verdict == SAFE:
        verdict, governing = UNPROVEN, "hybrid"
    out: Json = {
        "verdict": verdict,
        "governing rule": governing,
        "governing case": top.name,
        "k": written(top.stored.k),
        "demand side": top.demand.as_json(),
        "rules": {name: top.rules[name].as_json() for name in ORDER},
        "cases": [case_json(result) for result in results],
        "assumptions": _join(notes.assumptions for notes, _, _ in best),
        "warnings": _join(notes.warnings for notes, _, _ in best),
        "bad input": bad,
        "open points": _join([own.open_points, *(n.open_points for n, _, _ in best)]),
    }
    if listed:
        out["alternative"] = labels
        out["alternatives"] = listed
    ask = inputs.get("ask") or {}
    if ask.get("run") is not None:
        out["longest run"] = longest_json(own, results, ask)
        for text in own.bad:
            Notes.add(bad, text)
    return out


def _join(lists: Any) -> list[str]:
    joined: list[str] = []
    for texts in lists:
        for text in texts:
            Notes.add(joined, text)
    return joined


def case_json(result: Result) -> Json:
    case, stored = result.case, result.stored
    return {
        "name": result.name,
        "U": written(case.U),
        "I": written(case.I),
        "P": written(case.P),
        "column": case.column,
        "Co": written(stored.Co),
        "Lo": written(stored.Lo),
        "k": written(stored.k),
        "L/R allowed": stored.open_ratio,
        "route L": None if stored.route_L is None else stored.route_L.as_json(),
        "route L/R": None if stored.route_ratio is None else stored.route_ratio.as_json(),
        "rules": {name: result.rules[name].as_json() for name in ORDER},
        "verdict": result.verdict,
        "governing rule": result.governing,
    }


def longest_json(notes: Notes, results: Sequence[Result], ask: Json) -> Json:
    """The shortest over all cases, and the functional limit."""
    nothing: Json = {"metres": None, "exact metres": None, "binds": None}
    found: list[tuple[Fraction, str]] = []
    for result in results:
        if result.longest is None:
            return nothing
        found += result.longest
    if "functional limit" in ask:
        limit = read(notes, "ask", "functional limit", ask["functional limit"], "m").number
        if limit is None:
            return nothing
        found.append((limit, "functional limit"))
    if not found:
        return nothing
    metres, binds = min(found, key=lambda one: one[0])
    metres = max(metres, Fraction(0))
    return {"metres": significant(metres, 9), "exact metres": str(metres), "binds": binds}
