"""The words of the marking standards with their ranks and limits (internal).

Source of every table: IEC 60079-0:2017 clauses 4, 5.3 and 29, IEC 60079-14:2013 tables 1 and 2,
2014/34/EU Annex I, NEC 500.8; all from memory.
"""

from __future__ import annotations

__all__ = [
    "CATEGORY_LETTER",
    "CLASS_LIMITS",
    "FAMILY_OF_GROUP",
    "IEC_CLASSES",
    "NEEDS_SUBGROUP",
    "OLD_DUST",
    "SERVABLE",
    "TYPES",
    "ZONES",
    "PartError",
    "best_letter",
    "family",
    "weakest",
]

# Type of protection -> (best EPL letter that it can give, letter taken when no EPL is printed).
# "" = cannot be derived. None = the type says nothing about the EPL of the rest.
TYPES: dict[str, tuple[str, str | None]] = {
    "ia": ("a", "a"),
    "ib": ("b", "b"),
    "ic": ("c", "c"),
    "da": ("a", "a"),
    "db": ("b", "b"),
    "dc": ("c", "c"),
    "d": ("b", "b"),
    "eb": ("b", "b"),
    "ec": ("c", "c"),
    "e": ("b", "b"),
    "ma": ("a", "a"),
    "mb": ("b", "b"),
    "mc": ("c", "c"),
    "m": ("b", "b"),
    "ob": ("b", "b"),
    "oc": ("c", "c"),
    "o": ("b", "b"),
    "pxb": ("b", "b"),
    "pyb": ("b", "b"),
    "pzc": ("c", "c"),
    "px": ("b", "b"),
    "py": ("b", "b"),
    "pz": ("c", "c"),
    "pv": ("b", "c"),
    "p": ("b", "b"),
    "qb": ("b", "b"),
    "q": ("b", "b"),
    "ta": ("a", "a"),
    "tb": ("b", "b"),
    "tc": ("c", "c"),
    "t": ("a", ""),
    "sa": ("a", "a"),
    "sb": ("b", "b"),
    "sc": ("c", "c"),
    "s": ("a", ""),
    "nA": ("c", "c"),
    "nC": ("c", "c"),
    "nR": ("c", "c"),
    "nL": ("c", "c"),
    "op is": ("a", None),
    "op pr": ("a", None),
    "op sh": ("a", None),
}

# Types whose rules depend on the subgroup A, B or C: a plain group II says nothing for them.
NEEDS_SUBGROUP = frozenset({"ia", "ib", "ic", "da", "db", "dc", "d", "nC", "nL"})

# Why and wanted for the types of IEC 61241 (iaD, tD ...), which are not read.
OLD_DUST = (
    "this type of protection is from the old dust standards, which knew no dust group and no EPL",
    "the marking of a certificate that names group IIIA, IIIB or IIIC",
)

# Types that may stand inside the bracket of associated apparatus.
SERVABLE = frozenset({"ia", "ib", "ic", "nL", "op is", "op pr", "op sh"})

FAMILY_OF_GROUP = {"I": "M", "II": "G", "III": "D"}

CATEGORY_LETTER = {"1": "a", "2": "b", "3": "c", "M1": "a", "M2": "b"}

ZONES = {
    "0": ("G", "a"),
    "1": ("G", "b"),
    "2": ("G", "c"),
    "20": ("D", "a"),
    "21": ("D", "b"),
    "22": ("D", "c"),
}

IEC_CLASSES = ("T1", "T2", "T3", "T4", "T5", "T6")

# Temperature class -> highest surface temperature [degC]; the lettered ones are North American.
CLASS_LIMITS = {
    "T1": 450.0,
    "T2": 300.0,
    "T2A": 280.0,
    "T2B": 260.0,
    "T2C": 230.0,
    "T2D": 215.0,
    "T3": 200.0,
    "T3A": 180.0,
    "T3B": 165.0,
    "T3C": 160.0,
    "T4": 135.0,
    "T4A": 120.0,
    "T5": 100.0,
    "T6": 85.0,
}


class PartError(Exception):
    """A fault found while reading, with its place in the normalised text (internal)."""

    def __init__(self, start: int, end: int, why: str, wanted: str = "") -> None:
        super().__init__(why)
        self.start = start
        self.end = end
        self.why = why
        self.wanted = wanted


def family(group: str) -> str:
    """Letter of the EPL family of a group: "M" for I, "G" for II and "D" for III; "" for none."""
    return FAMILY_OF_GROUP[group.rstrip("ABC") if "+" not in group else "II"] if group else ""


def weakest(letters: list[str]) -> str:
    """The least protective of EPL letters ("c" after "b" after "a"); "" where there are none."""
    return max(letters, default="")


def best_letter(types: tuple[str, ...]) -> str:
    """Best EPL letter that types of protection standing side by side can give."""
    return weakest([TYPES[name][0] for name in types])
