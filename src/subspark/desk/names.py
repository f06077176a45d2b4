"""Names of records in addresses.

A tag may hold a slash, and an address would take it for a step. It is written as JSON pointers
write it: ``~1`` for a slash, ``~0`` for a tilde; ``~2`` before a name that is a dot or two.
"""

from __future__ import annotations

__all__ = ["NameConverter"]


class NameConverter:
    """Reads and writes a name as one step of an address."""

    regex = "[^/]+"

    def to_python(self, value: str) -> str:
        """The name that an address holds."""
        value = value.removeprefix("~2")
        return value.replace("~1", "/").replace("~0", "~")

    def to_url(self, value: str) -> str:
        """The step of an address for a name."""
        told = str(value).replace("~", "~0").replace("/", "~1")
        return f"~2{told}" if told in (".", "..") else told
