"""Types of source that note what is read of them, so that what does not see a difference is shared.

Two types that agree in all that was read of the first give the same answer: the same steps are
taken, and the same is read again. Nobody has to list what a rule or a builder depends on.
"""

from __future__ import annotations

import dataclasses
import threading
from collections.abc import Callable, Iterable
from typing import Generic, TypeVar

from subspark.model import SourceType

__all__ = ["Shared", "Watched"]

Answer = TypeVar("Answer")
_FIELDS = frozenset(one.name for one in dataclasses.fields(SourceType))
_NAMED = frozenset({"name"})
"""Read for labels, and to look up what is declared for it, which a caller tells apart itself."""


class _Noting(SourceType):
    """A type of source that notes which of its fields are read."""

    __slots__ = ()

    def __getattribute__(self, name: str) -> object:
        if name in _FIELDS:
            _READ.names.add(name)
        return object.__getattribute__(self, name)


class _Reads(threading.local):
    """What was read, in each thread by itself."""

    def __init__(self) -> None:
        self.names: set[str] = set()


_READ = _Reads()


def _noting(kind: SourceType) -> SourceType:
    made = object.__new__(_Noting)
    for name in _FIELDS:
        object.__setattr__(made, name, getattr(kind, name))
    return made


class Watched:
    """Types of source, each with its noting copy, and their fields numbered by what is equal."""

    def __init__(self, kinds: Iterable[SourceType]) -> None:
        self.kinds = {one.name: one for one in kinds}
        self.copies = {name: _noting(one) for name, one in self.kinds.items()}
        self._numbers: dict[str, dict[str, int]] = {}

    def seen(self, name: str, fields: Iterable[str]) -> tuple[int, ...]:
        """Numbers that are equal for types that agree in these fields."""
        return tuple(self._numbered(field)[name] for field in fields)

    def _numbered(self, field: str) -> dict[str, int]:
        found = self._numbers.get(field)
        if found is None:
            values: dict[object, int] = {}
            found = self._numbers[field] = {
                name: values.setdefault(getattr(one, field), len(values))
                for name, one in self.kinds.items()
            }
        return found


class Shared(Generic[Answer]):
    """Answers about types of source, each worked out once for all that it cannot tell apart."""

    def __init__(self, watched: Watched, answer: Callable[[int], Answer]) -> None:
        self._watched, self._answer = watched, answer
        self._found: dict[tuple[object, tuple[str, ...]], dict[tuple[int, ...], Answer]] = {}
        self._kept: dict[int, Answer] = {}

    def of(self, place: int, name: str, apart: object) -> Answer:
        """The answer for the candidate at a place, of this type; ``apart`` is never shared over.

        The answer must come from the noting copies alone.
        """
        if place in self._kept:
            return self._kept[place]
        for (apart_of, fields), answers in self._found.items():
            if apart_of == apart:
                seen = self._watched.seen(name, fields)
                if seen in answers:
                    self._kept[place] = answers[seen]
                    return answers[seen]
        _READ.names = set()
        answer = self._kept[place] = self._answer(place)
        fields = tuple(sorted(_READ.names - _NAMED))
        self._found.setdefault((apart, fields), {})[self._watched.seen(name, fields)] = answer
        return answer
