"""Normalising of a label, keeping where each character came from (internal)."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Normal", "normalise"]

_DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d"
_DEGREES = "\u00b0\u00ba\u02da\u2218"
_NOTHING = "\u200b\u200c\u200d\u2060\ufeff\u00ad"
_SUBSCRIPTS = "\u2080\u2081\u2082\u2083\u2084\u2085\u2086\u2087\u2088\u2089"
_SPELLED = {
    "\u2264": "<=",
    "\u2a7d": "<=",
    "\u2266": "<=",
    "\u2026": "...",
    "\u2103": "°C",
    "\u2109": "°F",
    "\uff0b": "+",
    "\u27e8": "<",
    "\u27e9": ">",
    "\u2329": "<",
    "\u232a": ">",
}


@dataclass(frozen=True, slots=True)
class Normal:
    """A normalised text and, for each of its characters, the place in the original."""

    text: str
    original: str
    spans: tuple[tuple[int, int], ...]

    def place(self, start: int, end: int) -> tuple[int, int]:
        """Start and end in the original text of a part of the normalised one."""
        if start >= len(self.spans):
            return len(self.original), len(self.original)
        last = min(max(start + 1, end), len(self.spans)) - 1
        if end <= start:
            return self.spans[start][0], self.spans[start][0]
        return self.spans[start][0], self.spans[last][1]

    def slice(self, start: int, end: int) -> str:
        """Part of the original text behind a part of the normalised one."""
        first, last = self.place(start, end)
        return self.original[first:last]


def normalise(text: str) -> Normal:
    """One spelling for dashes, blanks, degree signs, <= and dots; blanks run together.

    A run of subscript digits becomes digits and a blank, so that the layer depth of a dust
    temperature stays apart from the temperature. Letters are left alone: a letter that only
    looks like the right one is a matter for a person.
    """
    characters: list[str] = []
    spans: list[tuple[int, int]] = []

    def put(piece: str, index: int) -> None:
        for character in piece:
            if character == " " and characters and characters[-1] == " ":
                continue
            characters.append(character)
            spans.append((index, index + 1))

    for index, character in enumerate(text):
        if character in _NOTHING:
            continue
        if character in _DASHES:
            put("-", index)
        elif character in _DEGREES:
            put("°", index)
        elif character in _SPELLED:
            put(_SPELLED[character], index)
        elif character in _SUBSCRIPTS:
            put(str(_SUBSCRIPTS.index(character)), index)
            if text[index + 1 : index + 2] not in tuple(_SUBSCRIPTS):
                put(" ", index)
        elif character.isspace():
            put(" ", index)
        else:
            put(character, index)
    return Normal("".join(characters), text, tuple(spans))
