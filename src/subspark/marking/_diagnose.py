"""Why a label could not be read, in a sentence (internal)."""

from __future__ import annotations

import re

from subspark.marking._normal import Normal
from subspark.marking._parse import Stop
from subspark.marking._vocabulary import IEC_CLASSES, OLD_DUST, TYPES, PartError

__all__ = ["balance", "explain"]

_GROUPS = {"I", "IIA", "IIB", "IIC", "IIIA", "IIIB", "IIIC"}
_EPLS = {"Ma", "Mb", "Ga", "Gb", "Gc", "Da", "Db", "Dc"}
_KNOWN = _GROUPS | _EPLS | set(IEC_CLASSES) | {"Ex", "EEx", "AEx"} | set(TYPES)

# Letters of other alphabets that look like Latin ones (Cyrillic, then Greek).
_ALIKE = str.maketrans(
    "\u0410\u0412\u0421\u0415\u041d\u0406\u041c\u0422\u0425\u0430\u0441\u0435\u0456\u0445\u0501"
    "\u0391\u0392\u0395\u0397\u0399\u039c\u03a4\u03a7\u03b1\u03b9\u2160\u217c\u0131",
    "ABCEHIMTXaceixdABEHIMTXaiIli",
)
_STROKES = str.maketrans("l1|!L", "IIIII")
_SMALL_STROKES = str.maketrans("l1|!I", "iiiii")
_PARENTHESIS = re.compile(r"\([^()]*\)")
_WORD = re.compile(r"[^\s\[\](),;]+")

_NAMES = {
    "PREFIX": "Ex",
    "TYPE": "a type of protection",
    "GROUP": "a group",
    "TCLASS": "a temperature class",
    "TDEG": "a surface temperature",
    "DEGREES": "a surface temperature",
    "EPL": "an EPL",
    "TA": "an ambient range",
    "TEMP": "a temperature",
    "LOW": "an ambient range",
    "TO": "'to'",
    "RELATION": "'<=' or '='",
    "BRACKET_OPEN": "a bracket",
    "BRACKET_CLOSE": "a closing bracket",
    "PAREN_CLOSE": "a closing parenthesis",
    "EU_GROUP": "a directive part",
    "CATEGORY": "a category",
    "SERVED_CATEGORY": "a category in brackets",
    "ATMOSPHERE": "G, D or GD",
    "CLASS": "a Class",
    "ROMAN": "I, II or III",
    "ZONE": "a zone",
    "DIVISION": "a Division",
    "NA_GROUPS": "Groups",
    "_SEP": "another marking",
}
_OPENERS = {"PREFIX", "EU_GROUP", "CLASS", "ZONE", "BRACKET_OPEN", "BRACKET_CLOSE", "_SEP"}
_EXAMPLE = "a marking such as Ex ia IIC T4 Ga"
_OLD_DUST = re.compile(r"(?<![A-Za-z0-9])(?:i[abc]|m[ab]?|t|p)D(?![A-Za-z0-9])")
_CERTIFICATE = re.compile(r"IECEx|(?:[A-Z][A-Za-z0-9]+\s)?(?:[0-9]{2}\s?)?(?:ATEX|UKEX)")
_CLASS_THEN = re.compile(r"(?<![A-Za-z0-9])T[0-9]\s?$")


_CUT_FRONT = re.compile(r"[\s,;]*([/|]|(?:and|or)(?![A-Za-z0-9]))")
_CUT_END = re.compile(r"([/|]|(?<![A-Za-z0-9])(?:and|or))[\s,;]*$")

_OFTEN = [
    (
        re.compile(r"T[0-9]{5,6}$"),
        "{word}: depth of dust layer and temperature run together",
        "the depth in mm, a blank and the temperature: T200 125 °C",
    ),
    (
        re.compile(r"(?:I{1,3}[D-Zd-z]|I{4,}\w*)$"),
        "there is no group {word}",
        "I, IIA, IIB, IIC, IIIA, IIIB or IIIC",
    ),
    (
        re.compile(r"(?:E?Ex\w+|T[0-9]+[A-Za-z]+|I{1,3}[ABC]\w+|i[abc]\w+)$"),
        "{word!r} is not one word of a marking",
        "blanks between the words",
    ),
    (
        re.compile(r"(?i:groups?|gps?\.?)$"),
        "no group of North America follows",
        "Groups with letters A to G",
    ),
    (re.compile("°F"), "the temperature is in degrees Fahrenheit", "°C"),
]


def balance(text: str) -> None:
    """Brackets and parentheses close in order, are not nested, and the text is not cut off.

    Raises
    ------
    PartError
        At the bracket that has no partner, or the separator that nothing follows.
    """
    names = {"[": "bracket", "(": "parenthesis"}
    partner = {"]": "[", ")": "("}
    open_ones: list[tuple[str, int]] = []
    for at, character in enumerate(text):
        if character in names:
            if open_ones and not (character == "(" and open_ones[-1][0] == "["):
                why = f"a {names[character]} is opened within another that is not closed"
                raise PartError(at, at + 1, why, "each one closed before the next")
            open_ones.append((character, at))
        elif character in partner:
            if not open_ones or open_ones[-1][0] != partner[character]:
                why = f"this {names[partner[character]]} closes nothing"
                raise PartError(
                    at, at + 1, why, f"{partner[character]!r} before it, or none at all"
                )
            open_ones.pop()
    for cut, side in ((_CUT_FRONT.match(text), "before"), (_CUT_END.search(text), "after")):
        if cut is not None:
            why = f"nothing stands {side} this: the marking may be cut off"
            raise PartError(*cut.span(1), why, "the whole of the marking")
    if open_ones:
        character, at = open_ones[-1]
        why = f"this {names[character]} is never closed"
        raise PartError(at, at + 1, why, "]" if character == "[" else ")")


def _meant(word: str) -> str:
    """A word of the standards that looks like this one; "" for none."""
    if word in _KNOWN or not re.search(r"[^\W\d]", word):
        return ""
    latin = word.translate(_ALIKE)
    strokes = latin.translate(_STROKES)
    candidates = [
        latin,
        strokes,
        latin.translate(_SMALL_STROKES),
        latin.replace("6", "G", 1),
        latin.replace("0", "D", 1),
        strokes.upper(),
        latin.capitalize(),
        latin.lower(),
    ]
    return next((item for item in candidates if item in _KNOWN), "")


def _look_alike(normal: Normal, start: int, end: int) -> PartError | None:
    word = normal.text[start:end]
    meant = _meant(word)
    if not meant:
        return None
    first, last = normal.place(start, end)
    corrected = normal.original[:first] + meant + normal.original[last:]
    return PartError(
        start,
        end,
        f"{word!r} is not a word of a marking; {meant!r} looks like it, but is another "
        "(l, 1 and I, letters of other alphabets, capitals and small letters)",
        f"{corrected!r}, if that is what the plate says",
    )


def _known_mistake(text: str, start: int, end: int) -> PartError | None:
    """Mistakes that are often seen, in words of their own."""
    word = text[start:end]
    old = _OLD_DUST.search(text, 0, start)
    if old is not None:
        return PartError(old.start(), old.end(), *OLD_DUST)
    certificate = _CERTIFICATE.match(text, start)
    if certificate is not None:
        why = "a certificate number is not part of the marking"
        return PartError(start, certificate.end(), why, "the marking alone")
    for pattern, why, wanted in _OFTEN:
        if pattern.match(word):
            return PartError(start, end, why.format(word=word), wanted)
    before = _CLASS_THEN.search(text, 0, start)
    if before is not None and re.match(r"[0-9]", word):
        return PartError(
            before.start(),
            end,
            "a temperature class and a temperature side by side can be read in two ways",
            "120 °C (T4) for gas, T135 °C for dust",
        )
    return None


def _wanted(expected: frozenset[str]) -> str:
    """The words that could have stood there, for a person."""
    kinds = [kind for kind in _NAMES if kind in expected]
    between = {"PREFIX", "EU_GROUP"} <= expected
    if between:
        kinds = [kind for kind in kinds if kind not in _OPENERS]
    names = list(dict.fromkeys(_NAMES[kind] for kind in kinds))
    if between:
        names.append("another marking" if names else _EXAMPLE)
    return ", ".join(names[:-1]) + (" or " if len(names) > 1 else "") + names[-1] if names else ""


def explain(normal: Normal, stop: Stop) -> PartError:
    """The fault behind the place where the grammar stopped."""
    text = normal.text
    start = min(stop.start, len(text))
    while start < len(text) and text[start] == " ":
        start += 1
    if not text.strip():
        return PartError(start, start, "there is no Ex marking", _EXAMPLE)
    if start >= len(text):
        return PartError(start, start, "the marking ends too early", _wanted(stop.expected))
    while start > 0 and text[start - 1].isalnum() and text[start].isalnum():
        start -= 1
    match = _WORD.match(text, start) or _PARENTHESIS.match(text, start)
    end = match.end() if match is not None else start + 1
    pieces = [(start, end)]
    before = list(_WORD.finditer(text, max(0, start - 60), start))
    if before and not before[-1].group().isdigit():
        pieces.append(before[-1].span())
    for first, last in pieces:
        found = _look_alike(normal, first, last)
        if found is not None:
            return found
    known = _known_mistake(text, start, end)
    if known is not None:
        return known
    return PartError(start, end, f"{text[start:end]!r} cannot stand here", _wanted(stop.expected))
