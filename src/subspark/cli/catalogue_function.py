"""``subspark rules --function``: the rules of function by kind of circuit, and the figures."""

from __future__ import annotations

import json
import re

from subspark.cli.paper import Cell, Paper
from subspark.model import TERMS
from subspark.quantity import Kind
from subspark.rules.function import KINDS, FunctionRule, columns_of, function_rules
from subspark.rules.function.levels import levels

__all__ = ["function_rules_as", "print_markdown", "print_plain"]

JSON_VERSION = 1
_LABEL = 8


def _needs(rule: FunctionRule) -> list[str]:
    whats = {one.name: one.what for one in columns_of(KINDS[rule.kind].columns)}
    return list(dict.fromkeys(whats[name] for name in rule.needs))


def _values(word: str) -> str:
    values = TERMS[word].values
    if isinstance(values, Kind):
        at = TERMS[word].at
        return values.name + (f", at {at.name}" if at is not None else "")
    return "one of " + ", ".join(values) if values else "a text"


def function_rules_as() -> str:
    """All of it as JSON."""
    document = {
        "format": "subspark function rules",
        "version": JSON_VERSION,
        "kinds": [
            {
                "name": kind.name,
                "says": kind.says,
                "rules": [
                    {
                        "name": rule.name,
                        "says": rule.says,
                        "relation": rule.relation,
                        "unit": rule.unit or None,
                        "source": rule.cites,
                        "needs": _needs(rule),
                        "remedy": rule.remedy,
                    }
                    for rule in function_rules(kind.name)
                ],
            }
            for kind in KINDS.values()
        ],
        "figures": [
            {"what": word, "says": term.says, "value": _values(word)}
            for word, term in TERMS.items()
        ],
    }
    return json.dumps(document, ensure_ascii=False, indent=1)


def print_plain(paper: Paper) -> None:
    """All of it for a terminal."""
    for kind in KINDS.values():
        paper.line(Cell(kind.name, "title"))
        paper.text(kind.says, 2)
        for rule in function_rules(kind.name):
            paper.line("")
            paper.line("  ", Cell(rule.name, "title"), Cell(f"  {rule.unit}", "quiet"))
            paper.text(rule.says, 4)
            paper.labelled("relation", rule.relation, _LABEL, 4)
            paper.labelled("needs", ", ".join(_needs(rule)), _LABEL, 4)
            paper.labelled("remedy", rule.remedy, _LABEL, 4)
            paper.labelled("source", rule.cites, _LABEL, 4)
        paper.line("")
    paper.line(Cell("figures", "title"))
    for word, term in TERMS.items():
        paper.text(f"{word}: {term.says} Value: {_values(word)}.", 2)


def print_markdown() -> None:
    """All of it as a page."""
    print("## Kinds of circuits\n")
    print("| kind | what it is |")
    print("| --- | --- |")
    for kind in KINDS.values():
        print(f"| [{kind.name}](#{_anchor(kind.name)}) | {_safe(kind.says)} |")
    for kind in KINDS.values():
        print(f"\n## {kind.name}\n\n{_safe(kind.says)}\n")
        print("| rule | says | relation | needs | source |")
        print("| --- | --- | --- | --- | --- |")
        for rule in function_rules(kind.name):
            cells = (rule.name, rule.says, rule.relation, ", ".join(_needs(rule)), rule.cites)
            print(f"| {' | '.join(_safe(cell) for cell in cells)} |")
    print("\n## Figures\n")
    print("| what | means | value |")
    print("| --- | --- | --- |")
    for word, term in TERMS.items():
        print(f"| {_safe(word)} | {_safe(term.says)} | {_safe(_values(word))} |")
    _print_levels()


def _print_levels() -> None:
    """The levels that stand in where a data sheet is silent, each with how far it is trusted."""
    print("\n## Levels of standards\n")
    print(
        "Where a data sheet is silent the level of the standard is taken and told as assumed, if "
        "its confidence is high or medium; never where it is low.\n"
    )
    print("| level | least | nominal | greatest | unit | source | confidence |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for one in levels().values():
        numbers = (f"{value:g}" for value in (one.low, one.nominal, one.high))
        cells = (one.name, *numbers, one.unit, one.source, one.confidence)
        print(f"| {' | '.join(_safe(cell) for cell in cells)} |")


def _anchor(name: str) -> str:
    return re.sub(r"[^\w-]", "", name.replace(" ", "-").lower())


def _safe(text: str) -> str:
    """Text that Markdown takes as it is, in a table too."""
    return re.sub(r"[|*_]|<(?=[A-Za-z/!])", r"\\\g<0>", text)
