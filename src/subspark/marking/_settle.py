"""EPLs settled between types, printed EPL, directive part and zone (internal).

The printed EPL, the level of protection and the category have to agree. Where the EPL is not
printed it is derived, and the lower of what the others allow is taken.
"""

from __future__ import annotations

from dataclasses import dataclass

from subspark.marking._eu import Directive
from subspark.marking._strings import Draft, Epl, Types
from subspark.marking._vocabulary import TYPES, ZONES, PartError, best_letter, weakest

__all__ = ["Settled", "settle"]


@dataclass(frozen=True, slots=True)
class Settled:
    """EPLs of one alternative, and what was noticed."""

    epl: tuple[str, ...]
    epl_derived: bool
    served_epl: str
    served_epl_derived: bool
    notes: tuple[str, ...]


def _derived(names: tuple[str, ...]) -> str:
    """Letter derived from types without a printed EPL; "" where it cannot be."""
    letters = [letter for name in names if (letter := TYPES[name][1]) is not None]
    return "" if "" in letters else weakest(letters)


def _agree(draft: Draft, directive: Directive) -> None:
    """Role, group and letters of the directive part against the Ex string."""
    own, served = directive.own, directive.served
    if draft.types is None and own is not None:
        raise PartError(
            own.start,
            own.end,
            "associated apparatus for a safe place shows its category in brackets",
            f"{directive.group.text} ({directive.category})",
        )
    if draft.served is None and served is not None:
        raise PartError(
            served.start,
            served.end,
            "a category in brackets, but the Ex string has no bracket",
            "the category without brackets, or [Ex ...]",
        )
    if draft.types is not None and own is None and served is not None:
        raise PartError(
            served.start,
            served.end,
            "the apparatus has a type of protection of its own, but no category of its own",
            "such as II 2(1) G",
        )
    families = {draft.family, draft.served_family} - {""}
    mine = directive.group.text == "I"
    if mine != (families == {"M"}):
        raise PartError(
            directive.group.start,
            directive.group.end,
            f"EU group {directive.group.text} does not belong to group "
            f"{draft.group or draft.served_group}",
            "EU group I for group I, EU group II for groups II and III",
        )
    if not directive.covers(draft.family, draft.served_family):
        word = directive.last_atmosphere or directive.group
        raise PartError(
            word.start,
            word.end,
            f"atmosphere {word.text} does not belong to group {draft.group or draft.served_group}",
            "G for group II and D for group III",
        )


def _too_high(what: str, name: str, types: tuple[str, ...], given: str) -> str:
    return f"{what} {name} is higher than {' '.join(types)} can give ({given})"


def _own_printed(draft: Draft, types: Types, directive: Directive | None, notes: list[str]) -> None:
    """Printed EPLs against types and category.

    Raises
    ------
    PartError
        Higher than the types give; two where there is one side; not the category.
    """
    epls, sides = draft.epls, types.sides
    first, last = epls[0].word, epls[-1].word
    if len(epls) < len(sides):
        raise PartError(
            first.start, last.end, "one EPL for the two sides of a wall", "such as Ga/Gb"
        )
    if len(epls) > 1 and epls[0].letter >= epls[1].letter:
        raise PartError(
            first.start,
            last.end,
            "the EPLs of a boundary wall are in the wrong order or equal",
            "the higher one first, such as Ga/Gb",
        )
    for epl, names in zip(epls, sides if len(sides) == len(epls) else sides * 2, strict=False):
        best = best_letter(names)
        if epl.letter < best:
            why = _too_high("EPL", epl.text, names, f"{draft.family}{best}")
            raise PartError(epl.word.start, epl.word.end, why, f"{draft.family}{best} or lower")
    letters = [epl.letter for epl in epls]
    if directive is not None and directive.own is not None and directive.letters != letters:
        raise PartError(
            directive.own.start,
            directive.own.end,
            f"category {directive.category} and EPL {'/'.join(epl.text for epl in epls)} disagree",
            "the category that goes with the EPL",
        )
    best = best_letter(types.names)
    if not types.inner and len(epls) == 1 and _derived(types.names) and epls[0].letter > best:
        notes.append(f"EPL {epls[0].text} is lower than {' '.join(types.names)} gives")


def _own_derived(
    draft: Draft, types: Types, directive: Directive | None, notes: list[str]
) -> tuple[str, ...]:
    """EPLs that are not printed: from the types, or lower from the category."""
    letters = [_derived(names) for names in types.sides]
    kinds = [name for name in types.names if TYPES[name][1] == "c"]
    if draft.family == "M" and "c" in letters:
        raise PartError(types.start, types.end, f"{kinds[0]} is not for mines", "ia or ib")
    if types.inner and "" not in letters and letters[0] >= letters[1]:
        raise PartError(
            types.start,
            types.end,
            "the side of a boundary wall that gives the higher EPL stands first",
            "such as ia/db",
        )
    if directive is not None and directive.own is not None:
        asked = directive.letters
        ceilings = [best_letter(names) for names in types.sides]
        pairs = zip(
            asked if len(asked) > 1 else asked * 2,
            ceilings if len(ceilings) > 1 else ceilings * 2,
            strict=True,
        )
        for letter, best in pairs:
            if letter < best:
                why = _too_high(
                    "category", directive.category, types.names, f"{draft.family}{best}"
                )
                raise PartError(directive.own.start, directive.own.end, why, "a lower category")
        if asked != letters:
            notes.append(f"category {directive.category} is taken for the EPL: not printed")
        letters = asked
    else:
        notes.append("EPL not printed: derived from the type of protection")
    if "" in letters:
        notes.append("the EPL can be derived from neither type of protection nor category")
        return ()
    return tuple(f"{draft.family}{letter}" for letter in letters)


def _served_printed(
    epl: Epl, types: Types, family: str, directive: Directive | None, notes: list[str]
) -> None:
    """Printed EPL of the circuits served against level of protection and category.

    Raises
    ------
    PartError
        Higher than the types give; not the category in brackets; higher than the category of the
        apparatus itself where none in brackets is printed.
    """
    best = best_letter(types.names)
    if epl.letter < best:
        why = _too_high("EPL", epl.text, types.names, f"{family}{best}")
        raise PartError(epl.word.start, epl.word.end, why, f"{family}{best} or lower")
    if epl.letter > best and _derived(types.names):
        notes.append(f"served EPL {epl.text} is lower than {' '.join(types.names)} gives")
    if directive is None:
        return
    if directive.served is not None and directive.served_letter != epl.letter:
        raise PartError(
            directive.served.start,
            directive.served.end,
            f"category ({directive.served_category}) and EPL {epl.text} disagree",
            "the category that goes with the EPL",
        )
    alone = directive.own is not None and directive.served is None
    if alone and directive.own is not None and epl.letter < weakest(directive.letters):
        raise PartError(
            directive.own.start,
            directive.own.end,
            f"the category in brackets is missing: EPL {epl.text} is served",
            "such as II 2(1) G",
        )


def _served_derived(
    draft: Draft, types: Types, directive: Directive | None, own: tuple[str, ...], notes: list[str]
) -> str:
    """EPL of the circuits served where it is not printed; "" where it cannot be derived.

    The category in brackets where there is one; else the lowest that the level, the category and
    the EPL printed for the apparatus itself allow.
    """
    best, derived, family = best_letter(types.names), _derived(types.names), draft.served_family
    if directive is not None and directive.served is not None:
        letter = directive.served_letter
        if letter < best:
            why = _too_high("category", directive.served_category, types.names, f"{family}{best}")
            raise PartError(directive.served.start, directive.served.end, why, "a lower category")
        if derived and letter > derived:
            notes.append("the category in brackets is taken for the served EPL: not printed")
    elif not derived:
        notes.append("the served EPL can be derived from neither type of protection nor category")
        return ""
    else:
        category = directive.letters if directive is not None else []
        letter = weakest([derived, *(epl.letter for epl in draft.epls), *category])
        if letter == derived:
            notes.append("served EPL not printed: derived from the level of protection")
        else:
            body = "/".join(own)
            notes.append(f"served EPL not printed: taken as that of the apparatus itself ({body})")
    if family == "M" and letter == "c":
        why = "no circuit of a mine can be served: there is no EPL Mc"
        raise PartError(types.start, types.end, why, "[ia Ma] or [ib Mb]")
    return f"{family}{letter}"


def _in_zone(draft: Draft, epl: tuple[str, ...], served_epl: str) -> None:
    """Zone of North America in front against family and EPL."""
    zone = draft.ex.zone
    if zone is None:
        return
    number = zone.number.text[4:].strip()
    if number not in ZONES:
        raise PartError(
            zone.number.start,
            zone.number.end,
            f"there is no zone {number}",
            "0, 1, 2, 20, 21 or 22",
        )
    if draft.prefix == "EEx":
        raise PartError(
            draft.ex.prefix.start,
            draft.ex.prefix.end,
            "EEx behind a North American zone",
            "AEx or Ex",
        )
    letter, needed = ZONES[number]
    if zone.na_class is not None and (zone.na_class.text != "I" or letter != "G"):
        raise PartError(
            zone.na_class.start,
            zone.na_class.end,
            f"Class {zone.na_class.text} does not go with zone {number}",
            "Class I with zones 0, 1 and 2; no Class with zones 20, 21 and 22",
        )
    if (draft.family or draft.served_family) != letter:
        raise PartError(
            zone.number.start,
            zone.number.end,
            f"zone {number} does not belong to group {draft.group or draft.served_group}",
            "zones 0, 1 and 2 for group II, zones 20, 21 and 22 for group III",
        )
    given = epl[0] if epl else "" if draft.types is not None else served_epl
    if given and given[1] > needed:
        raise PartError(
            zone.number.start,
            zone.number.end,
            f"EPL {given} is too low for zone {number}",
            f"{letter}{needed}, or another zone",
        )


def settle(draft: Draft, directive: Directive | None) -> Settled:
    """Settle the EPLs of one alternative.

    IEC 60079-0:2017 clause 29, IEC 60079-14:2013 table 2, 2014/34/EU Annex I; from memory.

    Raises
    ------
    PartError
        Where the parts of the marking contradict each other.
    """
    notes: list[str] = []
    epl: tuple[str, ...] = ()
    derived = False
    served_epl, served_derived = "", False
    if directive is not None:
        _agree(draft, directive)
    if draft.types is not None:
        if draft.epls:
            _own_printed(draft, draft.types, directive, notes)
            epl = tuple(item.text for item in draft.epls)
        else:
            epl = _own_derived(draft, draft.types, directive, notes)
            derived = bool(epl)
    if draft.served is not None:
        if draft.served_epl is not None:
            served_epl = draft.served_epl.text
            _served_printed(draft.served_epl, draft.served, draft.served_family, directive, notes)
        else:
            served_epl = _served_derived(draft, draft.served, directive, epl, notes)
            served_derived = bool(served_epl)
    _in_zone(draft, epl, served_epl)
    return Settled(epl, derived, served_epl, served_derived, tuple(notes))
