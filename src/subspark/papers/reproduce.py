"""A dossier worked out again from what is attached to it, and compared with what it prints.

What is found: a changed attachment (its digest is printed), a changed page (the sheets are
printed anew from the attachment: the bytes where typesetter, font and templates are the same,
else the text of all pages), and figures that today's rules work out differently. What is not
found: a whole paper made anew from other data with this program, which is a true paper of those
data. Who wrote it, a signature tells.
"""

from __future__ import annotations

import io
import json
import logging
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from enum import IntEnum
from pathlib import Path
from typing import Any

from subspark.assess import Assessment, assess
from subspark.errors import InputError, SubsparkError, UsageError
from subspark.exchange.document import read_json
from subspark.papers.attachment import (
    FORMAT,
    NAME,
    VERSION,
    Said,
    digest_of,
    dossier_of_part,
    look,
    made_by,
    print_dossier,
)
from subspark.papers.equivalents import Equivalent, equivalent_rows
from subspark.papers.figures import Figure, figures, figures_of_equivalents
from subspark.papers.packages import pypdf_library
from subspark.papers.signing import Signature, Signing
from subspark.physics.ignition import Curves, standard_curves

__all__ = ["Outcome", "Reproduced", "reproduce", "text_of"]

_NEAR = 1e-9
_SHOWN = 40


class Outcome(IntEnum):
    """How a paper came out; the number is the exit status of the command."""

    IDENTICAL = 0
    DIFFERENT = 1
    NOT_OURS = 2


@dataclass(frozen=True, slots=True)
class Reproduced:
    """What was found of one paper.

    ``by_bytes`` says that the whole file was printed anew byte for byte; otherwise the texts of
    its pages were compared. ``notes`` are sentences for people, the reason first.
    """

    outcome: Outcome
    tag: str = ""
    verdict: str = ""
    figures: int = 0
    by_bytes: bool = False
    notes: tuple[str, ...] = field(default=())


class _NotOursError(SubsparkError):
    """The file is not a paper of this program, or not as it was written."""


def text_of(data: bytes) -> list[str]:
    """Text of each page of a PDF file, its gaps and line ends made plain spaces."""
    reader = pypdf_library().PdfReader(io.BytesIO(data))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def _guarded(read: Callable[[], Any]) -> Any:  # noqa: ANN401 - whatever is read
    """Read from a file that may be broken in any way."""
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        return read()
    except SubsparkError:
        raise
    except Exception as error:  # noqa: BLE001 - a changed byte may break the reader anywhere
        raise _NotOursError(f"the file cannot be read as a PDF ({type(error).__name__})") from None


def _attached(data: bytes) -> bytes:
    reader = pypdf_library().PdfReader(io.BytesIO(data))
    found = reader.attachments.get(NAME)
    if not found:
        raise _NotOursError(f"no {NAME} is attached: this is not a dossier of subspark")
    if len(found) > 1:
        raise _NotOursError(f"{len(found)} files named {NAME} are attached; wanted one")
    attached: bytes = found[0]
    return attached


def _document(attached: bytes) -> dict[str, Any]:
    try:
        whole = json.loads(attached.decode())
    except (ValueError, RecursionError):
        raise _NotOursError("the attachment is not the JSON that was written") from None
    if not isinstance(whole, dict) or whole.get("format") != FORMAT:
        raise _NotOursError("the attachment is not the data of a dossier")
    version = whole.get("version")
    if type(version) is not int or not 1 <= version <= VERSION:
        raise _NotOursError(
            f"written in version {version!r} of the format; this program knows 1 to {VERSION}"
        )
    return whole


def _bare(text: str) -> str:
    """A text without any gap, so that no line end counts."""
    return re.sub(r"\s+", "", text)


def _curves(wanted: dict[str, str], ours: Curves) -> Curves:
    for one in (ours, standard_curves()):
        if one.digest == wanted["digest"]:
            return one
    raise UsageError(
        f"the paper leans on the ignition table {wanted['name']!r} (digest "
        f"{wanted['digest'][:12]}), which is not in use here; name it with --curves FILE"
    )


def _judged(whole: dict[str, Any], curves: Curves) -> Assessment:
    plant = read_json(json.dumps(whole["plant"], ensure_ascii=False))
    return assess(plant, (whole["circuit"],), curves=_curves(whole["curves"], curves))


def _differences(printed: list[Figure], anew: list[Figure]) -> Iterator[str]:
    now = {one["name"]: one for one in anew}
    for one in printed:
        name, text, value = one["name"], one["text"], one["value"]
        found = now.get(name)
        if found is None:
            yield f"{name}: {text} printed, not worked out any more"
        elif found["text"] != text:
            yield f"{name}: {text} printed, {found['text']} worked out"
        elif not _equal(found["value"], value):
            yield f"{name}: {value!r} recorded, {found['value']!r} worked out"


def _equal(a: float | None, b: float | None) -> bool:
    if a is None or b is None:
        return a is b
    return math.isclose(a, b, rel_tol=_NEAR)


def _first_difference(printed: list[str], anew: list[str]) -> str:
    """Where the text of a file first leaves the text that it should have."""
    if len(printed) != len(anew):
        return f"{len(printed)} sheets where {len(anew)} were written"
    for number, (given, wanted) in enumerate(zip(printed, anew, strict=True), 1):
        if _bare(given) == _bare(wanted):
            continue
        words, ours = given.split(), wanted.split()
        at = next(
            (i for i, pair in enumerate(zip(words, ours, strict=False)) if pair[0] != pair[1]), 0
        )
        said = " ".join(words[max(0, at - 2) : at + 3])[:_SHOWN]
        right = " ".join(ours[max(0, at - 2) : at + 3])[:_SHOWN]
        return f"sheet {number} prints {said!r} where {right!r} was written"
    return ""


def _not_printed(printed: list[Figure], pages: list[str]) -> Iterator[str]:
    whole = _bare("".join(pages))
    for one in printed:
        if _bare(one["text"]) not in whole:
            yield f"{one['name']}: {one['text']} is recorded, but not printed"


def reproduce(path: str | Path, curves: Curves | None = None) -> Reproduced:
    """Work a dossier out again from its attachment and compare it with what it prints.

    Parameters
    ----------
    path : str or Path
        The PDF file.
    curves : Curves, optional
        The ignition table in use; the library's own is tried too.

    Returns
    -------
    Reproduced
        The outcome with its reasons.

    Raises
    ------
    UsageError
        The file is not there, a package is missing, or the paper leans on an ignition table that
        is not here.
    """
    try:
        data = Path(path).read_bytes()
    except OSError as error:
        raise UsageError(f"{path}: {(error.strerror or str(error)).lower()}") from None
    try:
        return _reproduced(data, curves or standard_curves())
    except _NotOursError as error:
        return Reproduced(Outcome.NOT_OURS, notes=(str(error),))


def _reproduced(data: bytes, curves: Curves) -> Reproduced:
    attached = _guarded(lambda: _attached(data))
    pages = _guarded(lambda: text_of(data))
    digest = digest_of(attached)
    if digest not in _bare("".join(pages)):
        raise _NotOursError("the attachment was changed: its digest is not the one that is printed")
    whole = _document(attached)
    try:
        return _compared(data, attached.decode(), whole, pages, curves)
    except UsageError:
        raise
    except (InputError, KeyError, TypeError, ValueError, AttributeError) as error:
        raise _NotOursError(f"the attached data cannot be read: {_short(error)}") from None


def _short(error: Exception) -> str:
    return str(error).splitlines()[0] if str(error) else type(error).__name__


def _compared(
    data: bytes, text: str, whole: dict[str, Any], pages: list[str], curves: Curves
) -> Reproduced:
    recorded: list[Figure] = whole["figures"]
    same_look = whole["printed"] == look(whole["version"])
    printed = _printed(text)
    if data != printed:
        if said := _first_difference(pages, text_of(printed)):
            raise _NotOursError(said)
        if same_look:
            raise _NotOursError(
                "the file is not as it was written: its texts are, but something was changed in "
                "it or added to it"
            )
    if lost := next(_not_printed(recorded, pages), ""):
        raise _NotOursError(lost)
    part = _judged(whole, curves)
    differences = list(_differences(recorded, _worked_out(whole, part)))
    if not differences and same_look and whole["engine"] == made_by():
        differences += _other_words(text, whole, part)
    return Reproduced(
        Outcome.DIFFERENT if differences else Outcome.IDENTICAL,
        tag=whole["circuit"],
        verdict=recorded[0]["text"],
        figures=len(recorded),
        by_bytes=data == printed,
        notes=tuple(differences),
    )


def _printed(text: str) -> bytes:
    try:
        return print_dossier(text, digest_of(text.encode()))
    except RuntimeError as error:  # as the typesetter says that something does not fit
        raise _NotOursError(f"the attached data cannot be printed: {_short(error)}") from None


def _chosen(whole: dict[str, Any]) -> tuple[Equivalent, ...] | None:
    listed = whole["equivalents"]
    return None if listed is None else tuple(Equivalent(*one) for one in listed)


def _worked_out(whole: dict[str, Any], part: Assessment) -> list[Figure]:
    """Every figure of the paper, by the rules of today."""
    tag, chosen = whole["circuit"], _chosen(whole)
    found = figures(part, part[tag], whole["language"])
    if chosen:
        found += figures_of_equivalents(
            equivalent_rows(part.plant, tag, chosen, part.context.curves)
        )
    return found


def _other_words(text: str, whole: dict[str, Any], part: Assessment) -> Iterator[str]:
    """By the same program every word must come out the same, not the figures alone."""
    tag = whole["circuit"]
    made = dossier_of_part(
        part.plant,
        tag,
        Said.of(part[tag]),
        part.context.curves,
        paper=whole["paper"],
        signing=Signing(tuple(Signature(*one) for one in whole["signatures"]), whole["reason"]),
        language=whole["language"],
        equivalents=_chosen(whole),
    )
    if made.attachment != text:
        yield "the figures agree, but something else on the sheets is not what this program writes"
