"""Supply, level, group, ambient, simple, earthing, barrier earth, place, conditions, cable, energy.

IEC 60079-14 and IEC 60079-0, from memory. Of several members: unsafe if one is certainly unsafe,
else unproven if one is unknown, else safe.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from oracle.combine import Case, level_name, level_of
from oracle.parts import (
    FAMILY_KIND,
    GROUPS,
    LETTERS,
    NAMES,
    ZONES,
    Apparatus,
    Area,
    Run,
    Source,
    epl,
    split,
)
from oracle.quantities import Json, Notes, blank, range_text, read, read_range, read_temperature
from oracle.quantity_rules import BADNESS, SAFE, UNPROVEN, UNSAFE, Rule, not_asked

MAINS = Fraction(250)
EVIDENCE = ("SELV", "PELV", "safety transformer", "battery")
GENERATING = (
    ("U", "V", Fraction(3, 2)),
    ("I", "A", Fraction(1, 10)),
    ("P", "W", Fraction(25, 1000)),
)
BARRIER = "earthed barrier"
ISOLATING = ("galvanic",)


def worst(rules: Sequence[Rule]) -> Rule:
    """The first of the worst verdict."""
    return max(rules, key=lambda rule: BADNESS[rule.verdict])


# --- supply ---------------------------------------------------------------------------------


def _port(notes: Notes, source: Source, port: Json, declared: Fraction | None) -> Rule:
    name = source.name if "name" not in port else f"{source.name}: {port['name']}"
    Um = read(notes, name, "Um", port.get("Um"), "V").number
    own = read(notes, name, "safe side", port.get("safe side"), "V").number
    demand = own if own is not None else declared
    ratio = demand / Um if demand is not None and Um else None
    if demand is None or Um is None:
        verdict = UNPROVEN
    elif own is None:
        verdict = SAFE if demand <= Um else UNPROVEN
        if verdict == SAFE and Um < MAINS:
            verdict = UNPROVEN
            Notes.add(notes.open_points, "declared safe side below 250 V")
    elif own > Um:
        verdict = UNSAFE
    elif Um < MAINS and port.get("evidence") not in EVIDENCE:
        verdict = UNPROVEN
    else:
        verdict = SAFE
    return Rule(demand, Um, "V", verdict, ratio, {"of": name})


def supply(notes: Notes, case: Case, declarations: Json) -> Rule:
    declared = read(notes, "declarations", "safe side", declarations.get("safe side"), "V").number
    ports: list[Rule] = []
    for source in case.sources:
        rows = source.data.get("ports")
        listed = rows if isinstance(rows, list) else [{**source.data, "name": None}]
        for row in listed:
            port = {k: v for k, v in row.items() if v is not None}
            ports.append(_port(notes, source, port, declared))
    return max(ports, key=lambda r: (BADNESS[r.verdict], r.utilisation or Fraction(0)))


# --- level and group ------------------------------------------------------------------------


def level(case: Case, area: Area, certified: Sequence[Apparatus]) -> Rule:
    asked = area.circuit
    lowest, whole = level_of(case, [a.level for a in certified])
    shown = whole
    if asked is None:
        verdict = UNPROVEN
    elif lowest is not None and lowest < asked:
        verdict, shown = UNSAFE, lowest
    else:
        verdict = UNPROVEN if whole is None else SAFE
    return Rule(level_name(asked), level_name(shown), None, verdict, None, {"of": None})


def _group_verdict(notes: Notes, groups: Sequence[str], area: Area, *, source: bool) -> str:
    if not groups or any(g not in GROUPS for g in groups) or area.group is None:
        return UNPROVEN
    family, rank = GROUPS[area.group]
    if any(GROUPS[g][0] == family and GROUPS[g][1] >= rank for g in groups):
        return SAFE
    if source and family == "III" and all(GROUPS[g][0] == "II" for g in groups):
        Notes.add(notes.open_points, "source of group II for dust")
        return UNPROVEN
    return UNSAFE


def group(notes: Notes, case: Case, area: Area, certified: Sequence[Apparatus]) -> Rule:
    verdicts = [_group_verdict(notes, s.groups, area, source=True) for s in case.sources]
    verdicts += [_group_verdict(notes, a.groups, area, source=False) for a in certified]
    texts = [s.group_text or "unknown" for s in case.sources]
    texts += [a.group_text or "unknown" for a in certified]
    verdict = max(verdicts, key=BADNESS.__getitem__)
    return Rule(area.group, "; ".join(texts), None, verdict, None, {"of": None})


# --- ambient --------------------------------------------------------------------------------


def _within(
    need: tuple[Fraction, Fraction] | None, given: tuple[Fraction, Fraction] | None, name: str
) -> Rule:
    if need is None or given is None:
        verdict = UNPROVEN
    else:
        verdict = SAFE if given[0] <= need[0] and need[1] <= given[1] else UNSAFE
    return Rule(range_text(need), range_text(given), None, verdict, None, {"of": name})


def ambient(notes: Notes, case: Case, area: Area, apparatus: Sequence[Apparatus]) -> Rule:
    rules: list[Rule] = []
    for item in apparatus:
        own = read_range(notes, item.name, item.data.get("ambient"))
        if blank(item.data.get("ambient")):
            Notes.add(notes.open_points, "ambient of an apparatus blank")
        need = area.ambient
        if "place ambient" in item.data:
            need = read_range(notes, item.name, item.data["place ambient"])
        rules.append(_within(need, own, item.name))
    for source in case.sources:
        own = read_range(notes, source.name, source.data.get("ambient"))
        need = read_range(notes, source.name, source.data.get("place ambient"))
        if blank(source.data.get("ambient")):
            Notes.add(notes.open_points, "ambient of a source blank")
        rules.append(_within(need, own, source.name))
    return worst(rules)


# --- simple apparatus -----------------------------------------------------------------------


def simple(notes: Notes, apparatus: Sequence[Apparatus]) -> Rule:
    items = [a for a in apparatus if a.simple]
    if not items:
        return not_asked()
    rules: list[Rule] = []
    generating = [a for a in items if a.data.get("type") == "generating"]
    for name, unit, limit in GENERATING if generating else ():
        values = [read(notes, a.name, name, a.data.get(name), unit).number for a in generating]
        least = sum((v for v in values if v is not None), Fraction(0))
        whole = all(v is not None for v in values)
        verdict = UNSAFE if least > limit else SAFE if whole else UNPROVEN
        shown = least if whole or verdict == UNSAFE else None
        used = None if shown is None else shown / limit
        rules.append(Rule(shown, limit, unit, verdict, used))
    rules += [
        Rule("assessment", "yes", None, UNPROVEN)
        for item in items
        if blank(item.data.get("type")) or item.data.get("assessment") != "yes"
    ]
    if not rules:
        return Rule("assessment", "yes", None, SAFE)
    return max(rules, key=lambda r: (BADNESS[r.verdict], r.utilisation or Fraction(0)))


# --- earthing -------------------------------------------------------------------------------


def isolated(item: Apparatus, declarations: Json) -> bool | None:
    """Does it withstand 500 V to earth? None: nothing is said nor declared."""
    said = item.data.get("isolation 500 V")
    if said == "yes":
        return True
    if said == "no":
        return False
    return True if declarations.get("apparatus isolation") == "500 V" else None


def circuit_earthed(
    sources: Sequence[Source], apparatus: Sequence[Apparatus], declarations: Json
) -> bool:
    """Is, or may be, the circuit earthed? Decides what an earthed screen adds."""
    fixed = all(s.data.get("isolation") in ISOLATING for s in sources)
    return not (fixed and all(isolated(a, declarations) for a in apparatus))


def certainly_earthed(sources: Sequence[Source], apparatus: Sequence[Apparatus]) -> bool:
    """Tell whether a barrier or a part that fails 500 V earths the circuit."""
    return any(s.data.get("isolation") == BARRIER for s in sources) or any(
        a.data.get("isolation 500 V") == "no" for a in apparatus
    )


def earthing(sources: Sequence[Source], apparatus: Sequence[Apparatus], declarations: Json) -> Rule:
    states = [s.data.get("isolation") for s in sources]
    points = 0 if all(s in ISOLATING for s in states) else 1
    points += sum(1 for a in apparatus if isolated(a, declarations) is not True)
    bonded = declarations.get("bonding evidenced") == "yes"
    verdict = SAFE if points <= 1 or bonded else UNPROVEN
    return Rule(points, 1, None, verdict, None, {"of": None})


_CONDUCTORS = re.compile(r"(?:(\d+)\s*x\s*)?(\d+(?:\.\d+)?)\s*mm2")


def _conductors(text: object) -> bool | None:
    """At least 4 mm2, or two of at least 1.5 mm2? None: not known."""
    match = _CONDUCTORS.fullmatch(text.strip()) if isinstance(text, str) else None
    if match is None:
        return None
    count, section = int(match.group(1) or 1), Fraction(match.group(2))
    return (count >= 1 and section >= 4) or (count >= 2 and section >= Fraction(3, 2))


def barrier_earth(notes: Notes, case: Case, declarations: Json) -> Rule:
    rules: list[Rule] = []
    for source in case.sources:
        state = source.data.get("isolation")
        if state in ISOLATING:
            continue
        earth = source.data.get("barrier earth", declarations.get("barrier earth"))
        data: Json = earth if isinstance(earth, dict) else {}
        owner = f"{source.name} barrier earth"
        resistance = read(notes, owner, "resistance", data.get("resistance"), "ohm").number
        enough = _conductors(data.get("conductors"))
        if (resistance is not None and resistance > 1) or enough is False:
            verdict = UNSAFE if state == BARRIER else UNPROVEN
        else:
            verdict = UNPROVEN if resistance is None or enough is None else SAFE
        of = {"of": data.get("conductors")}
        rules.append(Rule(resistance, Fraction(1), "ohm", verdict, None, of))
    return worst(rules) if rules else not_asked()


# --- place ----------------------------------------------------------------------------------


def _epls(item: Apparatus, kind: str | None) -> list[tuple[str, int]] | None:
    """The EPLs stated, else those of the level and the groups; None is unknown."""
    stated = [epl(x) for x in split(item.data.get("EPL"))]
    if stated:
        known = [x for x in stated if x is not None]
        return known if len(known) == len(stated) else None
    if item.level is None:
        return None
    kinds = [FAMILY_KIND[GROUPS[g][0]] for g in item.groups if g in GROUPS]
    if not kinds or len(kinds) != len(item.groups):
        return None
    ordered = [k for k in kinds if k == kind] + [k for k in kinds if k != kind]
    return [(k, item.level) for k in ordered]


def place_of(text: object, area: Area) -> tuple[str | None, int | None, str | None]:
    """Kind, rank and words of the place where a body stands; "safe area" has kind "safe"."""
    if isinstance(text, dict):
        text = f"zone {text['zone']}" if not blank(text.get("zone")) else ""
    if blank(text):
        return area.kind, area.asked, area.place
    words = str(text)
    if words == "safe area":
        return "safe", 0, words
    kind, rank = ZONES.get(words.removeprefix("zone ").strip(), (None, None))
    return kind, rank, words


def _body_fits(
    found: list[tuple[str, int]] | None, kind: str | None, rank: int | None, lowest: int | None
) -> str:
    if kind is None or rank is None:
        return UNPROVEN
    if found is None:
        return UNSAFE if lowest is not None and lowest < rank else UNPROVEN
    return SAFE if any(k == kind and r >= rank for k, r in found) else UNSAFE


def _apparatus_place(item: Apparatus, area: Area) -> Rule:
    kind, rank, words = place_of(item.data.get("place"), area)
    if kind == "safe":
        return Rule(words, "any", None, SAFE, None, {"of": item.name})
    found = _epls(item, kind)
    lowest = item.level if blank(item.data.get("EPL")) else None
    shown: str | None = None
    if found:
        best = next((x for x in found if x[0] == kind), found[0])
        shown = best[0] + LETTERS[best[1]]
    verdict = _body_fits(found, kind, rank, lowest)
    return Rule(words, shown, None, verdict, None, {"of": item.name})


def _source_place(notes: Notes, source: Source, area: Area, declarations: Json) -> Rule:
    stated = source.data.get("place", declarations.get("source place"))
    of = {"of": source.name}
    if blank(stated):
        return Rule(None, None, None, UNPROVEN, None, of)
    kind, rank, words = place_of(stated, area)
    if kind == "safe":
        return Rule(words, "any", None, SAFE, None, of)
    body = source.data.get("body")
    if body == "none":
        return Rule(words, "none", None, UNSAFE, None, of)
    if not isinstance(body, dict):
        return Rule(words, None, None, UNPROVEN, None, of)
    place: Json = stated if isinstance(stated, dict) else {}
    marks = [epl(x) for x in split(body.get("EPL"))]
    known = [m for m in marks if m is not None]
    verdicts = [_body_fits(known or None, kind, rank, None)]
    ground = place.get("group", area.group)
    there = Area("IEC", ground, kind, rank, words, None, None, None, "", rank)
    verdicts.append(_group_verdict(notes, split(body.get("group")), there, source=False))
    need = read_temperature(notes, source.name, place.get("temperature"))
    if need is None and "temperature" not in place:
        need = area.temperature
    have = read_temperature(notes, source.name, body.get("temperature"))
    if need is None or have is None:
        verdicts.append(UNPROVEN)
    else:
        verdicts.append(SAFE if have[0] <= need[0] else UNSAFE)
    verdict = max(verdicts, key=BADNESS.__getitem__)
    return Rule(words, body.get("EPL"), None, verdict, None, of)


def place(
    notes: Notes, case: Case, area: Area, certified: Sequence[Apparatus], declarations: Json
) -> Rule:
    rules = [_apparatus_place(item, area) for item in certified]
    rules += [_source_place(notes, s, area, declarations) for s in case.sources]
    return worst(rules)


def asked_of_circuit(
    notes: Notes, area: Area, sources: Sequence[Source], apparatus: Sequence[Apparatus]
) -> int | None:
    """What the most onerous place of any part asks of the circuit's level."""
    ranks: list[int] = []
    for data in [s.data for s in sources] + [a.data for a in apparatus]:
        if "place" in data:
            _, rank, _ = place_of(data["place"], area)
            if rank is not None and rank in NAMES:
                ranks.append(rank)
    if area.asked is None or max(ranks, default=0) <= area.asked:
        return area.asked
    Notes.add(notes.open_points, "a part stands in a more onerous place than the area")
    return max(ranks)


# --- conditions, cable, own energy ----------------------------------------------------------


def conditions(case: Case, apparatus: Sequence[Apparatus]) -> Rule:
    rules: list[Rule] = []
    items: list[tuple[str, Json]] = [(s.name, s.data) for s in case.sources]
    items += [(a.name, a.data) for a in apparatus]
    for name, data in items:
        suffix = data.get("suffix")
        if blank(suffix):
            continue
        answered = data.get("conditions answered") == "yes"
        fine = SAFE if answered else UNPROVEN
        verdict = UNSAFE if "U" in split(suffix) else fine
        limit = "answered" if answered else None
        rules.append(Rule(suffix, limit, None, verdict, None, {"of": name}))
    return worst(rules) if rules else not_asked()


def cable(runs: Sequence[Run], declarations: Json) -> Rule:
    rules: list[Rule] = []
    for run in runs:
        said: Any = run.data.get("construction", declarations.get("cable construction"))
        fine = said == "evidenced"
        verdict = SAFE if fine else UNPROVEN
        limit = "evidenced" if fine else None
        rules.append(Rule("construction", limit, None, verdict, None, {"of": run.name}))
    return worst(rules) if rules else not_asked()


def own_energy(notes: Notes, apparatus: Sequence[Apparatus]) -> Rule:
    rules: list[Rule] = []
    for item in apparatus:
        powered = item.data.get("powered")
        if powered not in ("battery", "auxiliary supply"):
            continue
        output = item.data.get("output")
        verdict = UNPROVEN
        if output in ("passive", "counted as a source"):
            verdict = SAFE
        elif blank(output):
            output = None
            values = [
                read(notes, item.name, f"{name}o", item.data.get(f"{name}o"), unit).number
                for name, unit, _ in GENERATING
            ]
            if any(v is not None for v in values):
                output = "at its terminals"
                limits = [limit for _, _, limit in GENERATING]
                pairs = list(zip(values, limits, strict=True))
                if all(v is not None and v <= x for v, x in pairs):
                    verdict = SAFE
                elif any(v is not None and v > x for v, x in pairs):
                    Notes.add(notes.open_points, "own energy above the figures, not a source")
        rules.append(Rule(powered, output, None, verdict, None, {"of": item.name}))
    return worst(rules) if rules else not_asked()
