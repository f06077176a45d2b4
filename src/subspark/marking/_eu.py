"""The directive part of a marking: group, category, atmosphere (internal).

2014/34/EU Annex I and Annex II 1.0.5. Source: from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

from subspark.marking._parse import Eu, Word
from subspark.marking._vocabulary import CATEGORY_LETTER, PartError

__all__ = ["Directive", "read_directive"]

_SHAPES = {
    "CATEGORY ATMOSPHERE",
    "SERVED_CATEGORY ATMOSPHERE",
    "CATEGORY SERVED_CATEGORY ATMOSPHERE",
    "CATEGORY ATMOSPHERE SERVED_CATEGORY ATMOSPHERE",
}
_MINE_SHAPES = {"CATEGORY", "SERVED_CATEGORY", "CATEGORY SERVED_CATEGORY"}
_PAIR = 2


@dataclass(frozen=True, slots=True)
class Directive:
    """A directive part with the words it was read from."""

    start: int
    end: int
    group: Word
    own: Word | None
    served: Word | None
    atmosphere: str
    served_atmosphere: str
    last_atmosphere: Word | None

    @property
    def category(self) -> str:
        """Category of the apparatus itself, "1/2" for a boundary wall; "" for none."""
        return _plain(self.own)

    @property
    def served_category(self) -> str:
        """Category that may be served; "" for none."""
        return _plain(self.served)

    @property
    def letters(self) -> list[str]:
        """EPL letters that the category of the apparatus itself stands for."""
        return [CATEGORY_LETTER[part] for part in self.category.split("/") if part]

    @property
    def served_letter(self) -> str:
        """EPL letter that the served category stands for; "" for none."""
        return CATEGORY_LETTER.get(self.served_category, "")

    def covers(self, own: str, served: str) -> bool:
        """Whether it can belong to a string of these EPL families ("" = has no such part)."""
        families = {"I": "M", "II": self.atmosphere}
        served_families = {"I": "M", "II": self.served_atmosphere or self.atmosphere}
        return own in families[self.group.text] and served in served_families[self.group.text]


def _plain(word: Word | None) -> str:
    return "" if word is None else word.text.strip("() ").replace(" ", "")


def _category(word: Word, group: str) -> None:
    text = _plain(word)
    parts = text.split("/")
    if "-" in parts:
        raise PartError(
            word.start,
            word.end,
            f"category {text} is for an atmosphere on one side of a wall only and cannot be read",
            "one category, such as 1, or two, such as 1/2",
        )
    if group == "I":
        good = text in ("M1", "M2")
        wanted = "M1 or M2"
    else:
        good = all(part in ("1", "2", "3") for part in parts)
        wanted = "1, 2 or 3"
    if not good:
        raise PartError(
            word.start, word.end, f"there is no category {text} in EU group {group}", wanted
        )
    if len(parts) == _PAIR and (word.kind == "SERVED_CATEGORY" or parts[0] >= parts[1]):
        raise PartError(
            word.start,
            word.end,
            f"category {text} cannot be read",
            "one category in brackets, and the more onerous side first where there are two",
        )


def read_directive(item: Eu) -> Directive:
    """Read one directive part.

    Raises
    ------
    PartError
        Group I with a category or letter of group II or the other way round, a category that does
        not exist, a missing category or atmosphere.
    """
    group, words = item.words[0], item.words[1:]
    kinds = " ".join(word.kind for word in words)
    categories = [word for word in words if word.kind != "ATMOSPHERE"]
    atmospheres = [word for word in words if word.kind == "ATMOSPHERE"]
    if group.text == "I":
        foreign = [word for word in words if word not in categories or "M" not in word.text]
        if foreign:
            raise PartError(
                foreign[0].start,
                foreign[-1].end,
                "EU group I has the categories M1 and M2 and no letter G or D",
                "I M1, I M2 or I (M1)",
            )
    for word in categories:
        _category(word, group.text)
    if kinds not in (_MINE_SHAPES if group.text == "I" else _SHAPES):
        why = "the directive part is not complete or its parts are in another order"
        wanted = "I M1, I (M1)" if group.text == "I" else "II 1 G, II (1) G, II 2(1) G or II 1/2 G"
        raise PartError(item.start, item.end, why, wanted)
    own = next((word for word in categories if word.kind == "CATEGORY"), None)
    served = next((word for word in categories if word.kind == "SERVED_CATEGORY"), None)
    letters = ["".join(letter for letter in word.text if letter in "GD") for word in atmospheres]
    return Directive(
        item.start,
        item.end,
        group,
        own,
        served,
        letters[0] if letters else "",
        letters[-1] if letters and served is not None else "",
        atmospheres[-1] if atmospheres else None,
    )
