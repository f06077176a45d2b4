"""The fixed texts of the papers, kept in one file a language under ``words/``."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources
from typing import Any

__all__ = ["LANGUAGE", "Words", "words"]

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


@cache
def words(language: str = LANGUAGE) -> Words:
    """The texts of a language."""
    text = resources.files("subspark.papers").joinpath(f"words/{language}.toml").read_text("utf-8")
    return Words(language, tomllib.loads(text))
