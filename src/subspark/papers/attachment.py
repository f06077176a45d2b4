"""What travels inside a dossier: the data that it was worked out from, and what it prints.

    {"format": "subspark dossier", "version": 1, "engine": {...}, "circuit": ..., "plant": {...},
     "curves": {...}, "figures": [...], "sheet": {...}, "printed": {...}}

``plant`` is a plant document with the part of the plant on which the circuit leans; ``figures``
are compared when the paper is worked out again, ``sheet`` is what the template was fed with.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any, NamedTuple

from subspark.assess import Assessment, assess
from subspark.errors import SubsparkError
from subspark.exchange.document import FORMAT as PLANT_FORMAT
from subspark.exchange.document import VERSION as PLANT_VERSION
from subspark.model import Plant, content
from subspark.papers.dossier import Signature, sheet
from subspark.papers.extract import part_of
from subspark.papers.figures import figures
from subspark.papers.packages import engine_version, printed_by
from subspark.papers.printing import encoded, print_pdf
from subspark.physics.ignition import Curves
from subspark.rules import Verdict

__all__ = [
    "FORMAT",
    "NAME",
    "VERSION",
    "Dossier",
    "Said",
    "digest_of",
    "dossier",
    "dossier_of_part",
    "look",
    "made_by",
    "print_dossier",
]

FORMAT = "subspark dossier"
VERSION = 1
NAME = "subspark.json"
"""Name of the attached file."""


@dataclass(frozen=True, slots=True)
class Dossier:
    """A dossier before it is printed: the attached text, and its digest.

    The text names the program, the typesetter and the templates, so that equal digests stand for
    equal files.
    """

    tag: str
    attachment: str
    digest: str


def digest_of(attachment: bytes) -> str:
    """SHA-256 of the attached file, in hexadecimal."""
    return hashlib.sha256(attachment).hexdigest()


_ENGINE = ("quantity", "marking", "model", "physics", "rules", "assess", "papers")
"""The rooms that decide what a dossier says."""
_SOURCE = (".py", ".toml", ".csv", ".lark")


def _files(folder: Traversable, kept: tuple[str, ...]) -> Iterator[tuple[str, bytes]]:
    for one in sorted(folder.iterdir(), key=lambda file: file.name):
        if one.is_dir():
            yield from ((f"{one.name}/{name}", data) for name, data in _files(one, kept))
        elif one.name.endswith(kept):
            yield one.name, one.read_bytes()


def _digest_of_files(folders: Iterable[Traversable], kept: tuple[str, ...]) -> str:
    whole = hashlib.sha256()
    for folder in folders:
        for name, data in _files(folder, kept):
            whole.update(f"{folder.name}/{name}\0{len(data)}\0".encode() + data)
    return whole.hexdigest()


@cache
def made_by() -> dict[str, str]:
    """What decides what a dossier says: the program, and the digest of its source."""
    root = resources.files("subspark")
    source = _digest_of_files((root / room for room in _ENGINE), _SOURCE)
    return {"program": "subspark", "version": engine_version(), "source": source}


@cache
def look() -> dict[str, str]:
    """What decides how a dossier looks: typesetter, font and templates."""
    folder = resources.files("subspark.papers") / "templates"
    return {**printed_by(), "templates": _digest_of_files((folder,), (".typ",))}


def _curves(curves: Curves) -> dict[str, str]:
    return {"name": curves.name, "origin": curves.origin, "digest": curves.digest}


def _document(plant: Plant) -> dict[str, Any]:
    return {"format": PLANT_FORMAT, "version": PLANT_VERSION, "plant": content(plant)}


class Said(NamedTuple):
    """What the whole plant says of a circuit; its part must say the same."""

    verdict: Verdict
    governing: str
    utilisation: float | None


def dossier(
    assessment: Assessment,
    tag: str,
    *,
    paper: str = "a4",
    signatures: Sequence[Signature] = (),
    language: str = "en",
) -> Dossier:
    """The dossier of one circuit of a judged plant.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    tag : str
        The circuit.
    paper : str
        "a4" or "letter".
    signatures : sequence of Signature
        Of a safe circuit only.
    language : str
        Of the fixed texts.

    Returns
    -------
    Dossier
        To be printed by :func:`print_dossier`.

    Raises
    ------
    UsageError
        A tag or paper that is not there, or a signature under what is open.
    """
    found = assessment[tag]
    return dossier_of_part(
        part_of(assessment.plant, tag),
        tag,
        Said(found.verdict, found.governing, found.utilisation),
        assessment.context.curves,
        paper=paper,
        signatures=signatures,
        language=language,
    )


def dossier_of_part(
    plant: Plant,
    tag: str,
    said: Said,
    curves: Curves,
    *,
    paper: str = "a4",
    signatures: Sequence[Signature] = (),
    language: str = "en",
) -> Dossier:
    """The dossier of one circuit from its part of a plant.

    Parameters
    ----------
    plant : Plant
        The part on which the circuit leans, as :func:`subspark.papers.extract.part_of` gives it.
    tag : str
        The circuit.
    said : Said
        What the whole plant says of it.
    curves : Curves
        The ignition table in use.
    paper, signatures, language
        As for :func:`dossier`.

    Raises
    ------
    SubsparkError
        The part says something else than the whole: it lacks something, and nothing is written.
    """
    part = assess(plant, (tag,), curves=curves)
    ours = part[tag]
    if Said(ours.verdict, ours.governing, ours.utilisation) != said:
        raise SubsparkError(
            f"circuit {tag!r}: its part of the plant gives {ours.verdict.word} where the whole "
            f"plant gives {said.verdict.word}; no dossier is written. Please report this"
        )
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "engine": made_by(),
        "circuit": tag,
        "code": {"name": plant.code, "title": part.context.code.title},
        "curves": _curves(curves),
        "paper": paper,
        "language": language,
        "signatures": [[one.role, one.name, one.date] for one in signatures],
        "printed": look(),
        "figures": figures(part, ours, language),
        "plant": _document(plant),
        "sheet": sheet(part, ours, paper=paper, signatures=signatures, language=language),
    }
    text = encoded(whole)
    return Dossier(tag, text, digest_of(text.encode()))


def print_dossier(text: str, digest: str) -> bytes:
    """Typeset a dossier from its attached text alone.

    Parameters
    ----------
    text : str
        The attached text of a version that this program knows.
    digest : str
        Its SHA-256, printed on the sheets.

    Returns
    -------
    bytes
        The PDF file.
    """
    whole = json.loads(text)
    engine = whole["engine"]
    by = f"{engine['program']} {engine['version']} · {whole['code']['title']}"
    return print_pdf(
        f"dossier-{whole['version']}",
        {"sheet": encoded(whole["sheet"]), "digest": digest, "attachment": text, "by": by},
    )
