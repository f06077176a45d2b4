"""Notes and cautions of an installation drawing, from model and findings."""

from __future__ import annotations

import math
from collections.abc import Iterator

from subspark.assess import Assessment
from subspark.assess.context import certificate_state
from subspark.model import SimpleType
from subspark.papers.drawings.blocks import Phrase
from subspark.papers.drawings.facts import CircuitFacts
from subspark.papers.drawings.leads import lead_colours, leads_of
from subspark.papers.drawings.words import say
from subspark.quantity import CAPACITANCE, INDUCTANCE, LENGTH, Kind, show
from subspark.rules import Code, Verdict

__all__ = ["cautions", "notes_of", "rounded_down"]

_SLIP = 1e-9
_HALF = 0.5


def rounded_down(si: float, kind: Kind, *, digits: int = 3) -> str:
    """A number in words that is never above the number: what may be used at the most.

    >>> rounded_down(8.3999e-08, CAPACITANCE), rounded_down(0.0, CAPACITANCE)
    ('83.9 nF', '0 F')
    """
    if si <= 0.0 or not math.isfinite(si):
        return show(max(si, 0.0), kind)
    step = 10.0 ** (math.floor(math.log10(si)) - digits + 1)
    return show(math.floor(si / step * (1.0 + _SLIP)) * step, kind, digits)


def _slack(assessment: Assessment, tag: str, rule: str) -> float:
    """Least room below a limit over the cases that count; NaN where a side is not known."""
    least = math.inf
    for place in assessment.counted_places(tag):
        found = assessment.rule_findings(place)[rule]
        if found.verdict is Verdict.NOT_ASKED or found.by == "L/R":
            continue
        if found.demand is None or found.limit is None:
            return math.nan
        least = min(least, found.limit - found.demand)
    return least


def _cable(assessment: Assessment, facts: CircuitFacts) -> Iterator[str]:
    """How much cable the circuit may have, told of safe circuits only."""
    circuit, finding, runs = facts.circuit, facts.finding, facts.runs
    if circuit.method != "entity":
        yield say("note segment", method=circuit.method)
        return
    C, L = sum(run.C for run in runs), sum(run.L for run in runs)
    if finding.verdict is not Verdict.SAFE or not runs or math.isnan(C) or math.isnan(L):
        return
    room_C = _slack(assessment, circuit.tag, "capacitance")
    room_L = _slack(assessment, circuit.tag, "inductance")
    if not math.isfinite(room_C) or math.isnan(room_L):
        return
    most_C = rounded_down(C + max(room_C, 0.0), CAPACITANCE)
    here = show(C, CAPACITANCE, 4), show(L, INDUCTANCE, 4)
    if math.isinf(room_L):
        yield say("note cable C", C=most_C, c=here[0])
        ratio = finding.rules["inductance"]
        yield say("note ratio", limit=ratio.limit_text, ratio=ratio.demand_text)
    else:
        most_L = rounded_down(L + max(room_L, 0.0), INDUCTANCE)
        yield say("note cable", C=most_C, L=most_L, c=here[0], l=here[1])
    yield _length(facts, room_C, room_L)


def _length(facts: CircuitFacts, room_C: float, room_L: float) -> str:
    """How much of the cable that stores most may be added, in whole metres or feet."""
    worst = max(facts.runs, key=lambda run: run.C_per_m)
    per_m = worst.C_per_m, max(run.L_per_m for run in facts.runs)
    metres = min(
        (room / each for room, each in zip((room_C, room_L), per_m, strict=True) if each > 0),
        default=math.inf,
    )
    unit = 0.3048 if facts.feet else 1.0
    whole = math.floor(metres / unit * (1.0 + _SLIP)) if math.isfinite(metres) else 0
    if whole < 1:
        return say("note length none")
    length = show(whole * unit, LENGTH, 9, feet=facts.feet)
    return say("note length", length=length, cable=worst.cable)


def _open_points(facts: CircuitFacts) -> Iterator[Phrase]:
    for name, found in facts.finding.rules.items():
        if found.verdict is Verdict.UNSAFE:
            what = f"{name}: {found.comparison}"
            yield Phrase(say("note unsafe", what=what), "break text", bold=True)
        elif found.verdict is Verdict.UNPROVEN:
            what = f"{name}: {found.comparison}"
            yield Phrase(say("note open", what=what), "open text", bold=True)


def _conditions(facts: CircuitFacts) -> str:
    """Certificates with special conditions of use."""
    context = facts.context
    asked = [context.sources[use.source].certificate for use in facts.circuit.sources]
    for member in facts.circuit.members:
        item = context.items[member.apparatus]
        asked += [] if isinstance(item, SimpleType) else [item.certificate]
    numbers = []
    for number in asked:
        found = context.certificates.get(number)
        if found is not None and (found.suffix == "X" or found.conditions):
            met = certificate_state(number, context) == 0.0
            numbers.append(f"{number} ({say('answered' if met else 'not answered')})")
    return ", ".join(dict.fromkeys(numbers))


def cautions(code: Code) -> Iterator[str]:
    """What holds for every sheet with Ex i circuits of a code."""
    constants = code.constants
    distance = constants["separation"]
    yield say("note separation", distance=distance.text or show(distance.value, LENGTH))
    yield say("note spare")
    yield say("note colour")
    if "label pitch" in constants:
        pitch = constants["label pitch"]
        yield say("note labels", pitch=pitch.text or show(pitch.value, LENGTH))


def _leads(facts: CircuitFacts) -> Iterator[str]:
    """Colours of the leads of a thermocouple, for the runs of which the pair is known."""
    american = facts.context.code.feet
    key = "note leads ASTM" if american else "note leads IEC"
    told: dict[str, None] = {}
    for run in facts.circuit.runs:
        if letter := leads_of(facts.circuit, run, facts.context):
            told[letter] = None
    for letter in told:
        plus, minus = lead_colours(letter, american=american)
        yield say(key, letter=letter, plus=plus, minus=minus)


def _colours(facts: CircuitFacts) -> Iterator[str]:
    """Colours of cores where the types of cable state them."""
    told = []
    for run in facts.runs:
        cores = zip(run.core_names, run.colours, strict=False)
        if run.colours:
            told.append(f"{run.label} {', '.join(f'{core} {colour}' for core, colour in cores)}")
    if told:
        yield say("note core colours", what="; ".join(told))


def notes_of(assessment: Assessment, facts: CircuitFacts) -> list[Phrase]:
    """The notes of one circuit, what is open or broken first.

    Parameters
    ----------
    assessment : Assessment
        The judged plant.
    facts : CircuitFacts
        The circuit.

    Returns
    -------
    list of Phrase
        One note each, without its number.
    """
    notes = list(_open_points(facts))
    plain = [say("note change"), *_cable(assessment, facts)]
    if facts.finding.k == _HALF:
        plain.append(say("note half"))
    ports = dict.fromkeys(
        f"{port.Um.removeprefix('Um ')} ({source.tag}, {port.name})"
        for source in facts.sources
        for port in source.ports
    )
    if ports:
        plain.append(say("note Um", what="; ".join(ports)))
    if not facts.runs:
        plain.append(say("no runs"))
    if conditions := _conditions(facts):
        plain.append(say("note conditions", what=conditions))
    if any("earthed" in run.screen for run in facts.runs):
        plain.append(say("note screen"))
    plain += cautions(facts.context.code)
    plain += _colours(facts)
    plain += _leads(facts)
    plain.append(say("note pairs" if any(run.pair for run in facts.runs) else "note cores"))
    plain += [say("note assumption", what=one) for one in facts.finding.assumptions]
    if any(facts.designations):
        plain.append(say("note designation"))
    plain.append(say("note standard", code=facts.finding.code))
    plain.append(say("note decide"))
    return [*notes, *(Phrase(facts.context.code.say(one)) for one in plain)]
