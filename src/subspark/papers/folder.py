"""A folder of papers: which file holds which data, and what is up to date."""

from __future__ import annotations

import hashlib
import json
import re
import time
from collections import defaultdict
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import NamedTuple

from subspark.errors import InputError
from subspark.exchange.saving import save

__all__ = ["INDEX", "Done", "Index", "Known", "file_names", "put", "sha", "stem_of"]

INDEX = "papers.json"
_FORMAT = "subspark papers"
_VERSION = 1
_SAVE_EVERY = 5.0
_RESERVED = re.compile(r"(?i)^(con|prn|aux|nul|com\d|lpt\d)$")
_SHEET = re.compile(r"~\d+$")
"""What tells the sheets of a drawing apart that has a file for each; no file name has it else."""

Known = dict[str, tuple[str, str]]
"""Digests of the data and of the file, by path."""


class Done(NamedTuple):
    """One paper: its path in the folder, the digest of its data, of its file, whether it is new."""

    path: str
    data: str
    file: str
    fresh: bool


def file_names(tags: Iterable[str]) -> dict[str, str]:
    """A file name for each tag: its own where every system takes it, else with a short digest."""
    names: dict[str, str] = {}
    taken: set[str] = set()
    for tag in tags:
        plain = re.sub(r"[^A-Za-z0-9._+=-]", "_", tag).strip(".") or "_"
        if _RESERVED.match(plain.partition(".")[0]):
            plain = f"_{plain}"
        if plain != tag or plain.lower() in taken:
            plain = f"{plain}-{hashlib.sha256(tag.encode()).hexdigest()[:8]}"
        taken.add(plain.lower())
        names[tag] = plain
    return names


def stem_of(path: str) -> str:
    """The path of a paper without its ending and its sheet.

    >>> stem_of("drawings/PT-1001~2.svg"), stem_of("dossiers/A.1.pdf")
    ('drawings/PT-1001', 'dossiers/A.1')
    """
    return _SHEET.sub("", path.rpartition(".")[0])


class Index:
    """Which file holds which data: ``papers.json`` in the folder."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / INDEX
        self.entries: dict[str, dict[str, str]] = {}
        self._saved = time.monotonic()
        self._read()
        self._of: dict[str, list[str]] = defaultdict(list)
        for path in self.entries:
            self._of[stem_of(path)].append(path)

    def _read(self) -> None:
        try:
            whole = json.loads(self._path.read_text("utf-8"))
        except FileNotFoundError:
            return
        except (OSError, ValueError) as error:
            raise InputError(
                f"{self._path}: cannot be read ({error}); delete it to write all papers anew"
            ) from None
        if not isinstance(whole, dict) or whole.get("format") != _FORMAT:
            raise InputError(f"{self._path}: is not ours; wanted another folder")
        if whole.get("version") == _VERSION and isinstance(whole.get("files"), dict):
            self.entries = whole["files"]

    def known(self, stems: Iterable[str]) -> Known:
        """What stood in the folder at the beginning under some stems."""
        return {path: self._digests(path) for stem in stems for path in self._of.get(stem, ())}

    def _digests(self, path: str) -> tuple[str, str]:
        found = self.entries.get(path, {})
        return found.get("data", ""), found.get("file", "")

    def note(self, done: Done) -> None:
        """Keep what was done, on disk from time to time."""
        self.entries[done.path] = {"data": done.data, "file": done.file}
        if time.monotonic() - self._saved > _SAVE_EVERY:
            self.save()

    def save(self) -> None:
        """Write the index."""
        files = dict(sorted(self.entries.items()))
        whole = {"format": _FORMAT, "version": _VERSION, "files": files}
        save((json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode(), self._path)
        self._saved = time.monotonic()


def sha(data: bytes) -> str:
    """SHA-256 in hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def _current(folder: Path, path: str, data: str, known: tuple[str, str]) -> bool:
    """Whether a file is there as it was written, from the same data."""
    if known[0] != data:
        return False
    try:
        return sha((folder / path).read_bytes()) == known[1]
    except OSError:
        return False


def put(folder: Path, path: str, data: str, known: Known, make: Callable[[], bytes]) -> Done:
    """Write a paper where it is not up to date.

    Parameters
    ----------
    folder : Path
        The folder of papers.
    path : str
        The file in it.
    data : str
        Digest of what decides the file.
    known : dict
        What stood in the folder.
    make : callable
        Gives the file.
    """
    before = known.get(path, ("", ""))
    if _current(folder, path, data, before):
        return Done(path, data, before[1], fresh=False)
    made = make()
    save(made, folder / path)
    return Done(path, data, sha(made), fresh=True)
