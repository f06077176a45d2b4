"""Flammable substances: the gas group and the autoignition temperature of each.

A table to look up, not a judgement: groups are from memory with a confidence, temperatures carry
the edition that they were taken from, and a site may know better. Temperature classes are not
worked out here.
"""

from __future__ import annotations

import csv
import difflib
import re
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Final

from subspark.errors import UsageError

__all__ = ["Substance", "find_substance", "is_cas_number", "substances"]

_CAS: Final = re.compile(r"(\d{2,7})-(\d\d)-(\d)")
_DASHES: Final = str.maketrans(dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"))
_SUGGESTIONS: Final = 3


@dataclass(frozen=True, slots=True)
class Substance:
    """One flammable substance as tabulated.

    Parameters
    ----------
    name : str
        The name that pages and papers show.
    synonyms : tuple of str
        Other names.
    cas : str
        CAS registry number.
    group : str
        Gas group for above ground: IIA, IIB or IIC.
    group_confidence : str
        How sure the group is: H (high), M (medium) or L (low).
    group_source : str
        Where the group comes from.
    autoignition_C : float
        Autoignition temperature [C].
    autoignition_source : str
        The edition that the temperature was taken from, or "from memory".
    nfpa_autoignition_C : float or None
        The figure of NFPA 497:2008 [C], beside; None where it has none.
    nfpa_source : str
        The edition of that figure; empty where there is none.
    note : str
        What else a reader should know.
    """

    name: str
    synonyms: tuple[str, ...]
    cas: str
    group: str
    group_confidence: str
    group_source: str
    autoignition_C: float
    autoignition_source: str
    nfpa_autoignition_C: float | None
    nfpa_source: str
    note: str


def is_cas_number(text: str) -> bool:
    """Say whether a text is a CAS registry number with the right check digit.

    Equation: the last digit is ``(1 a + 2 b + 3 c + ...) mod 10`` over the others from the right.

    Parameters
    ----------
    text : str
        For example "74-82-8".

    Returns
    -------
    bool
        False for anything else than digits in that form, too.

    Example
    -------
    >>> is_cas_number("74-82-8"), is_cas_number("74-82-9"), is_cas_number("methane")
    (True, False, False)
    """
    found = _CAS.fullmatch(text)
    return found is not None and int(found[3]) == _check_digit(found[1] + found[2])


@lru_cache(maxsize=1)
def substances() -> tuple[Substance, ...]:
    """Give every substance of the table, in its order (read once, then kept).

    Returns
    -------
    tuple of Substance

    Example
    -------
    >>> substances()[0].name
    'Methane'
    """
    text = (files("subspark.model") / "data" / "substances.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if not line.startswith("#")]
    return tuple(_substance(row) for row in csv.DictReader(lines))


def find_substance(name_or_cas: str) -> Substance:
    """Find a substance by a name, a synonym or its CAS registry number.

    Parameters
    ----------
    name_or_cas : str
        Capitals, blanks around and kinds of dash do not matter.

    Returns
    -------
    Substance

    Raises
    ------
    UsageError
        Where nothing has that name, with the closest names; where a registry number has a wrong
        check digit, or is not in the table.

    Example
    -------
    >>> find_substance("ISOPROPANOL").name, find_substance("67-63-0").group
    ('2-Propanol', 'IIA')
    """
    wanted = _plain(name_or_cas)
    found = _index().get(wanted)
    if found is not None:
        return found
    number = _CAS.fullmatch(wanted)
    if number and not is_cas_number(wanted):
        digit = _check_digit(number[1] + number[2])
        raise UsageError(
            f"{name_or_cas!r} is no CAS registry number: its check digit would be {digit}; "
            "wanted the number as printed on the safety data sheet"
        )
    if number:
        raise UsageError(
            f"{name_or_cas!r}: no substance with this CAS registry number in the table of "
            f"{len(substances())}; wanted one of them, or group and temperature stated for the area"
        )
    near = [_spelling()[key] for key in difflib.get_close_matches(wanted, _spelling(), 10, 0.7)]
    near = list(dict.fromkeys(near))[:_SUGGESTIONS]
    hint = f"did you mean {' or '.join(near)}?" if near else "wanted a name or a CAS number"
    raise UsageError(f"{name_or_cas!r}: no substance of this name in the table; {hint}")


def _check_digit(digits: str) -> int:
    return sum(place * int(digit) for place, digit in enumerate(reversed(digits), start=1)) % 10


def _plain(text: str) -> str:
    return " ".join(text.translate(_DASHES).split()).casefold()


def _substance(row: dict[str, str]) -> Substance:
    nfpa = row["nfpa_autoignition_C"]
    return Substance(
        name=row["name"],
        synonyms=tuple(row["synonyms"].split("|")) if row["synonyms"] else (),
        cas=row["cas"],
        group=row["group"],
        group_confidence=row["group_confidence"],
        group_source=row["group_source"],
        autoignition_C=float(row["autoignition_C"]),
        autoignition_source=row["autoignition_source"],
        nfpa_autoignition_C=float(nfpa) if nfpa else None,
        nfpa_source=row["nfpa_source"],
        note=row["note"],
    )


@lru_cache(maxsize=1)
def _index() -> dict[str, Substance]:
    return {
        _plain(name): one for one in substances() for name in (one.name, *one.synonyms, one.cas)
    }


@lru_cache(maxsize=1)
def _spelling() -> dict[str, str]:
    return {_plain(name): name for one in substances() for name in (one.name, *one.synonyms)}
