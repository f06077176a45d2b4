"""``subspark rules``: the catalogue of rules, from the rules themselves."""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Mapping

from subspark.cli.paper import Cell, Paper
from subspark.rules import CODES, RULES, Code, Rule, code

__all__ = ["WORDS", "rules"]

JSON_VERSION = 1
_LABEL = 8

WORDS: Mapping[str, str] = {
    "U": "Uo",
    "I": "Io",
    "P": "Po",
    "Ui": "Ui",
    "Ii": "Ii",
    "Pi": "Pi",
    "Ci": "Ci",
    "Li": "Li",
    "Co": "Co",
    "Lo": "Lo",
    "Lo_Ro": "Lo/Ro",
    "LR": "L/R of the cable",
    "C": "capacitance per length of the cable",
    "L": "inductance per length of the cable",
    "length": "length of every run",
    "half_cap": "cap of the halved Co, by the column used",
    "pair_Co": "pairs of Co and Lo, where the certificate prints them",
    "pair_Lo": "pairs of Co and Lo, where the certificate prints them",
    "permitted": "permitted current at the voltage, from the reference table",
    "behind": "rated voltage behind each port",
    "Um": "Um of each port",
    "level_asked": "level that the zone or EPL asks",
    "level": "level of source and column used",
    "source_level": "level that each source serves",
    "level_a": "level of the apparatus",
    "group_asked": "group of the atmosphere",
    "group_a": "group of the apparatus",
    "source_group": "group that the source serves",
    "epl_asked": "EPL that the place asks",
    "epl": "EPL of the apparatus",
    "source_epl_asked": "place of the source",
    "source_epl": "EPL of the source's own body",
    "T_limit": "highest surface temperature of the atmosphere",
    "hot": "ambient range of the place",
    "cold": "ambient range of the place",
    "hottest": "hottest of air and mounting",
    "Ta_max": "ambient range of the marking",
    "Ta_min": "ambient range of the marking",
    "source_hot": "ambient range where the source stands",
    "source_Ta_max": "ambient range of the source",
    "row_P": "temperature table of the certificate",
    "row_T": "temperature table of the certificate",
    "row_hot": "temperature table of the certificate",
    "Rth": "thermal resistance of simple apparatus",
    "surface": "surface of simple apparatus",
    "assessed": "written assessment of simple apparatus",
    "generating_U": "what generating simple apparatus delivers",
    "generating_I": "what generating simple apparatus delivers",
    "generating_P": "what generating simple apparatus delivers",
    "earthed": "which bodies earth the circuit",
    "earth_limit": "whether bonding is evidenced",
    "earth_ohm": "resistance of the barrier earth",
    "earth_wires": "conductors of the barrier earth",
    "earth_section": "conductors of the barrier earth",
    "conditions": "special conditions of the apparatus, answered",
    "source_conditions": "special conditions of the source, answered",
    "strand": "strand diameter",
    "tested": "test voltage",
    "rated_T": "rated temperature of the cable",
    "route_T": "hottest air on its route",
    "energy": "what powered apparatus may feed back",
    "separation": "distance to circuits that are not Ex i",
    "atmosphere": "declared atmospheric conditions",
    "active": "number of sources",
    "own_output": "the proof that the values of the source serve",
    "output_C": "Ci of the source",
    "output_L": "Li of the source",
    "own_set": "the proof that the parameters of each apparatus serve",
    "leak": "current that a device feeds back",
    "terminators": "terminators, and whether one is built into the source",
    "end_R": "R of each terminator",
    "end_C": "C of each terminator",
    "low_R": "lowest and highest loop resistance of the cable per length",
    "high_R": "lowest and highest loop resistance of the cable per length",
    "low_L": "inductance per length of the cable",
    "high_L": "inductance per length of the cable",
    "low_C": "capacitance per length of the cable, by the use of its screen",
    "high_C": "capacitance per length of the cable, by the use of its screen",
    "least_spur": "trunk or spur, from and to of every run",
    "most_spur": "trunk or spur, from and to of every run",
    "is_IIC": "group of the atmosphere",
    "stations": "number of devices",
    "shared_demand": "construction of a shared multicore",
    "shared_limit": "construction of a shared multicore",
    "surge_inside": "place of surge devices",
    "surge_distance": "distance of surge devices to zone 0",
    "surge_section": "earth conductor of surge devices",
    "surge_discharge": "discharge current of surge devices",
    "box_T": "thermal resistance of a junction box, and Po of its circuits",
    "box_limit": "limit where the box stands",
}
"""What each column that a rule reads is called outside the program."""


def rules(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.function:
        return _function(arguments.format)
    editions = [code(name) for name in CODES]
    if arguments.format == "json":
        document = {
            "format": "subspark rules",
            "version": JSON_VERSION,
            "codes": {one.name: one.title for one in editions},
            "rules": [_as_dict(rule, editions) for rule in RULES],
        }
        print(json.dumps(document, ensure_ascii=False, indent=1))
    elif arguments.format == "markdown":
        _print_markdown(editions)
    else:
        _print_plain(editions, Paper())
    return 0


def _function(form: str) -> int:
    """The rules of function, and the figures that they ask."""
    from subspark.cli import catalogue_function as function

    if form == "json":
        print(function.function_rules_as())
    elif form == "markdown":
        function.print_markdown()
    else:
        function.print_plain(Paper())
    return 0


def _needs(rule: Rule) -> list[str]:
    return list(dict.fromkeys(WORDS.get(name, name) for name in rule.needs))


def _relations(rule: Rule, editions: list[Code]) -> dict[str, str]:
    """The relation in the symbols of codes that have their own, by the names of these."""
    found: dict[str, list[str]] = {}
    for one in editions:
        if (own := one.say(rule.relation)) != rule.relation:
            found.setdefault(own, []).append(one.name)
    return {", ".join(names): relation for relation, names in found.items()}


def _as_dict(rule: Rule, editions: list[Code]) -> dict[str, object]:
    return {
        "name": rule.name,
        "says": rule.says,
        "relation": rule.relation,
        "relations": _relations(rule, editions),
        "sort": rule.sort,
        "unit": rule.unit or None,
        "clauses": {one.name: one.clause(rule.name) for one in editions},
        "needs": _needs(rule),
        "remedy": rule.remedy,
    }


def _print_plain(editions: list[Code], paper: Paper) -> None:
    wide = max(_LABEL, *(len(one.name) for one in editions))
    for number, rule in enumerate(RULES):
        if number:
            paper.line("")
        kind = f"  {rule.sort}" + (f", {rule.unit}" if rule.unit else "")
        paper.line(Cell(rule.name, "title"), Cell(kind, "quiet"))
        paper.text(rule.says, 2)
        paper.labelled("relation", rule.relation, wide, 2)
        for names, relation in _relations(rule, editions).items():
            paper.labelled("", f"{relation} ({names})", wide, 2)
        paper.labelled("needs", ", ".join(_needs(rule)), wide, 2)
        paper.labelled("remedy", rule.remedy, wide, 2)
        for one in editions:
            paper.labelled(one.name, one.clause(rule.name), wide, 2)
    paper.line("")
    paper.text(
        "Clauses are cited from memory of the standards: the printed standard decides. A rule of "
        "sort quantity has a utilisation, demand / limit; one of sort suitability holds or not.",
        style="quiet",
    )


def _print_markdown(editions: list[Code]) -> None:
    print("| rule | says | relation |")
    print("| --- | --- | --- |")
    for rule in RULES:
        print(f"| [{rule.name}](#{_anchor(rule)}) | {_safe(rule.says)} | {_safe(rule.relation)} |")
    for rule in RULES:
        print(f"\n## {rule.name}\n\n{_safe(rule.says)}\n")
        unit = f", in {rule.unit}" if rule.unit else ""
        print(f"- **Relation:** {_safe(rule.relation)}")
        for names, relation in _relations(rule, editions).items():
            print(f"- **Relation in {names}:** {_safe(relation)}")
        print(f"- **Sort:** {rule.sort}{unit}")
        print(f"- **Needs:** {_safe(', '.join(_needs(rule)))}")
        print(f"- **Remedy:** {_safe(rule.remedy)}")
        print("- **Clauses:**")
        for one in editions:
            print(f"  - {one.name}: {_safe(one.clause(rule.name))}")


def _anchor(rule: Rule) -> str:
    return rule.name.replace(" ", "-")


def _safe(text: str) -> str:
    """Text that Markdown takes as it is, in a table too."""
    return re.sub(r"[|*_]|<(?=[A-Za-z/!])", r"\\\g<0>", text)
