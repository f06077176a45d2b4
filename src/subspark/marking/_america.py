"""Class and Division markings of North America (internal).

NEC 500.5, 500.6 and 500.8. Source: from memory.
"""

from __future__ import annotations

import re

from subspark.marking._parse import Division, Word
from subspark.marking._values import read_ambient, read_temperature
from subspark.marking._vocabulary import PartError
from subspark.marking.facts import Marking

__all__ = ["read_division"]

_CLASS_OF_GROUP = dict.fromkeys("ABCD", "I") | dict.fromkeys("EFG", "II")
_ITEM = re.compile(r"-|(?<![A-Za-z])[A-G]+(?![A-Za-z])")
_DIGIT = re.compile(r"\d+")


def _groups(word: Word, classes: tuple[str, ...]) -> tuple[str, ...]:
    """Groups in alphabetical order, ranges written out, each of a Class that is named."""
    head = re.match(r"(?i:groups?|gps?\.?)\s?", word.text)
    offset = head.end() if head is not None else 0
    found: list[tuple[str, int]] = []
    through = False
    for match in _ITEM.finditer(word.text, offset):
        text, at = match.group(), word.start + match.start()
        if text == "-":
            through = True
            continue
        if through:
            first, last = found[-1][0], text[0]
            if first > last:
                raise PartError(
                    word.start + offset, word.end, "the range of groups is reversed", "such as A-D"
                )
            found += [(chr(code), at) for code in range(ord(first) + 1, ord(last))]
            through = False
        found += [(letter, at + index) for index, letter in enumerate(text)]
    wrong = [(letter, at) for letter, at in found if _CLASS_OF_GROUP[letter] not in classes]
    if wrong:
        places = [at for _, at in wrong]
        letters = ", ".join(letter for letter, _ in wrong)
        raise PartError(
            min(places),
            max(places) + 1,
            f"group {letters} does not belong to Class {', '.join(classes)}",
            "A to D for Class I, E to G for Class II",
        )
    return tuple(sorted({letter for letter, _ in found}))


def _division(word: Word) -> tuple[str, str]:
    """Division, and a note; Division 1 where both are named, for it includes Division 2."""
    numbers = list(_DIGIT.finditer(word.text))
    for match in numbers:
        if match.group() not in ("1", "2"):
            raise PartError(
                word.start + match.start(),
                word.start + match.end(),
                f"there is no Division {match.group()}",
                "Division 1 or Division 2",
            )
    if len(numbers) == 1:
        return numbers[0].group(), ""
    if [match.group() for match in numbers] != ["1", "2"]:
        raise PartError(
            word.start + numbers[0].start(),
            word.end,
            "two Divisions that make no list",
            "Division 1, or Division 1, 2",
        )
    return "1", "Divisions 1 and 2 are printed: read as Division 1, which includes 2"


def read_division(item: Division) -> Marking:
    """Read one Class and Division marking; text and place are left to the caller.

    No level of protection ia, ib or ic is derived from it.

    Raises
    ------
    PartError
        A Class twice, a Division other than 1 and 2, groups of another Class, nothing where a
        Division or groups have to stand.
    """
    notes: list[str] = []
    classes = tuple(word.text for word in item.romans)
    if len(set(classes)) < len(classes):
        raise PartError(
            item.romans[0].start, item.romans[-1].end, "a Class is named twice", "each once"
        )
    mark = item.mark.text.replace(" ", "") if item.mark is not None else ""
    last = item.romans[-1]
    division = ""
    if item.division is not None:
        division, note = _division(item.division)
        if note:
            notes.append(note)
    elif mark != "[Exia]" and classes != ("III",):
        raise PartError(
            item.romans[0].start, last.end, "the Division is missing", "Division 1 or 2"
        )
    groups: tuple[str, ...] = ()
    if item.groups is not None:
        groups = _groups(item.groups, classes)
        named = {_CLASS_OF_GROUP[letter] for letter in groups}
        bare = [name for name in ("I", "II") if name in classes and name not in named]
        notes += [f"no group of Class {name} is printed" for name in bare]
    elif classes != ("III",):
        end = item.division.end if item.division is not None else last.end
        raise PartError(
            item.romans[0].start, end, "the groups are missing", "such as Groups A, B, C, D"
        )
    if mark == "[Exia]" and item.temperature is not None:
        raise PartError(
            item.temperature.start,
            item.temperature.end,
            "associated apparatus has no temperature class of the circuits it serves",
            "the marking without it",
        )
    heat = read_temperature(item.temperature, "")
    ambient = read_ambient(item.ambient)
    return Marking(
        dialect="NEC-div",
        role="associated" if mark == "[Exia]" else "apparatus",
        prefix=mark.strip("[]"),
        temperature_classes=heat.classes,
        surface_temperature=heat.surface,
        ambient_min=ambient.low,
        ambient_max=ambient.high,
        na_class=classes,
        na_division=division,
        na_groups=groups,
        notes=(*notes, *heat.notes, *ambient.notes),
    )
