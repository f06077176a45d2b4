"""The fixed texts of the papers, kept in one file a language under ``words/``."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

from subspark.errors import UsageError

__all__ = ["LANGUAGE", "Words", "catalogue", "words"]

LANGUAGE = "en"


class Words:
    """The texts of one language, by section and key."""

    def __init__(self, language: str, table: dict[str, Any]) -> None:
        self.language = language
        self._table = table

    def __call__(self, key: str, *values: object) -> str:
        """A text by ``"section.key"``, with values put in where it has places for them."""
        text = self.entry(key)
        if not isinstance(text, str):
            raise TypeError(f"words {key!r} is a list; wanted a text")
        return text.format(*values) if values else text

    def listed(self, key: str) -> list[Any]:
        """A list of texts, or of rows of texts."""
        found = self.entry(key)
        if not isinstance(found, list):
            raise TypeError(f"words {key!r} is a text; wanted a list")
        return found

    def section(self, name: str) -> dict[str, Any]:
        """A whole section."""
        found: dict[str, Any] = self._table[name]
        return found

    def entry(self, key: str) -> object:
        """Whatever stands under ``"section.key"``."""
        section, _, name = key.partition(".")
        return self._table[section][name]


def catalogue(name: str) -> dict[str, Any]:
    """A file of texts, by its name without the ending.

    Raises
    ------
    UsageError
        There is none in that language.
    """
    folder = resources.files("subspark.papers") / "words"
    file = folder / f"{name}.toml"
    if not file.is_file():
        here = sorted(one.name for one in folder.iterdir() if "-" not in one.name)
        known = ", ".join(one.removesuffix(".toml") for one in here)
        language = name.rpartition("-")[2]
        raise UsageError(f"language {language!r}: papers are written in one of {known}")
    return tomllib.loads(file.read_text("utf-8"))


@cache
def words(language: str = LANGUAGE) -> Words:
    """The texts of a language.

    Raises
    ------
    UsageError
        There are none.
    """
    return Words(language, catalogue(language))
