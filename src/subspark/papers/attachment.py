"""What travels inside a dossier: the data that it was worked out from, and what it prints.

    {"format": "subspark dossier", "version": 1, "engine": {...}, "circuit": ..., "plant": {...},
     "curves": {...}, "signatures": [...], "reason": ..., "equivalents": [...] or null,
     "figures": [...], "sheet": {...}, "printed": {...}}

``plant`` is a plant document with the part of the plant on which the circuit leans; ``figures``
are compared when the paper is worked out again, ``sheet`` is what the template was fed with.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Any, NamedTuple

from subspark.assess import Assessment, Finding, assess
from subspark.errors import SubsparkError
from subspark.exchange.document import FORMAT as PLANT_FORMAT
from subspark.exchange.document import VERSION as PLANT_VERSION
from subspark.model import Plant, content
from subspark.papers.dossier import sheet
from subspark.papers.equivalents import (
    Equivalent,
    catalogue_of,
    equivalent_rows,
    equivalents_of,
    with_types,
    within,
)
from subspark.papers.extract import part_of
from subspark.papers.figures import figures, figures_of_equivalents
from subspark.papers.packages import engine_version, printed_by
from subspark.papers.printing import encoded, print_pdf
from subspark.papers.signing import Signing
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
    "look_of_others",
    "made_by",
    "print_dossier",
]

FORMAT = "subspark dossier"
VERSION = 1
NAME = "subspark.json"
"""Name of the attached file."""
_UNSIGNED = Signing()


@dataclass(frozen=True, slots=True)
class Dossier:
    """A dossier before it is printed: the attached text, and its digest.

    The text names the program, the typesetter and the templates, so that equal digests stand for
    equal files. ``sheet`` is what is printed, ``by`` its foot; both are in the text.
    """

    tag: str
    attachment: str
    digest: str
    sheet: str = field(repr=False)
    by: str

    def pdf(self) -> bytes:
        """Typeset it."""
        return _typeset(VERSION, self.sheet, self.by, self.attachment, self.digest)


def digest_of(attachment: bytes) -> str:
    """SHA-256 of the attached file, in hexadecimal."""
    return hashlib.sha256(attachment).hexdigest()


_ENGINE = ("quantity", "marking", "model", "physics", "rules", "assess", "choose", "papers")
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
def look(version: int = VERSION) -> dict[str, str]:
    """What decides how a dossier looks: typesetter, font, and the templates of its version.

    Parameters
    ----------
    version : int
        Of the format. Its templates are frozen with it.
    """
    folder = resources.files("subspark.papers") / "templates"
    own = (f"dossier-{version}.typ", f"common-{version}.typ")
    return {**printed_by(), "templates": _digest_of_files((folder,), own)}


@cache
def look_of_others() -> dict[str, str]:
    """What decides how papers look that carry no attachment: all templates."""
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
    works: str

    @classmethod
    def of(cls, found: Finding) -> Said:
        """What a finding says."""
        return cls(found.verdict, found.governing, found.utilisation, found.works.word)


def dossier(
    assessment: Assessment,
    tag: str,
    *,
    paper: str = "a4",
    signing: Signing = _UNSIGNED,
    language: str = "en",
    equivalents: bool = False,
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
    signing : Signing
        Signatures of a safe circuit only; reason of the revision.
    language : str
        Of the fixed texts.
    equivalents : bool
        Whether other types that may stand in are listed.

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
    plant, curves = assessment.plant, assessment.context.curves
    part, chosen = part_of(plant, tag), None
    if equivalents:
        whole = catalogue_of(plant)
        chosen = equivalents_of(within(part, whole), tag, curves)
        part = with_types(part, whole, chosen)
    return dossier_of_part(
        part,
        tag,
        Said.of(found),
        curves,
        paper=paper,
        signing=signing,
        language=language,
        equivalents=chosen,
    )


def dossier_of_part(
    plant: Plant,
    tag: str,
    said: Said,
    curves: Curves,
    *,
    paper: str = "a4",
    signing: Signing = _UNSIGNED,
    language: str = "en",
    equivalents: Sequence[Equivalent] | None = None,
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
    paper, signing, language
        As for :func:`dossier`.
    equivalents : sequence of Equivalent, optional
        What may stand in, its types in the part; None where nobody asked.

    Raises
    ------
    SubsparkError
        The part says something else than the whole: it lacks something, and nothing is written.
    """
    part = assess(plant, (tag,), curves=curves)
    ours = part[tag]
    if Said.of(ours) != said:
        raise SubsparkError(
            f"circuit {tag!r}: its part of the plant gives {ours.verdict.word}, function "
            f"{ours.works.word}, where the whole plant gives {said.verdict.word}, function "
            f"{said.works}; no dossier is written. Please report this"
        )
    rows = None if equivalents is None else equivalent_rows(plant, tag, equivalents, curves)
    whole = {
        "format": FORMAT,
        "version": VERSION,
        "engine": made_by(),
        "circuit": tag,
        "code": {"name": plant.code, "title": part.context.code.title},
        "curves": _curves(curves),
        "paper": paper,
        "language": language,
        "signatures": [[one.role, one.name, one.date] for one in signing.signatures],
        "reason": signing.reason,
        "equivalents": None if equivalents is None else [list(one) for one in equivalents],
        "printed": look(),
        "figures": [*figures(part, ours, language), *figures_of_equivalents(rows or ())],
        "plant": _document(plant),
        "sheet": sheet(
            part, ours, paper=paper, signing=signing, language=language, equivalents=rows
        ),
    }
    text = encoded(whole)
    return Dossier(tag, text, digest_of(text.encode()), encoded(whole["sheet"]), _by(whole))


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
    return _typeset(whole["version"], encoded(whole["sheet"]), _by(whole), text, digest)


def _by(whole: dict[str, Any]) -> str:
    """What made a dossier, as its foot says."""
    engine = whole["engine"]
    return f"{engine['program']} {engine['version']} · {whole['code']['title']}"


def _typeset(version: int, sheet: str, by: str, text: str, digest: str) -> bytes:
    inputs = {"sheet": sheet, "digest": digest, "attachment": text, "by": by}
    return print_pdf(f"dossier-{version}", inputs)
