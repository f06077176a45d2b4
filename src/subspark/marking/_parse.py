"""From normalised text to words in their places, by ``grammar.lark`` (internal).

Importing this module imports lark; the package does so when the first marking is read.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, cast

from lark import Lark, Token, Transformer, UnexpectedInput
from lark.exceptions import UnexpectedCharacters, UnexpectedToken

from subspark.marking._vocabulary import PartError

__all__ = ["Bracket", "Division", "Eu", "Ex", "Tag", "Word", "Words", "Zone", "parse"]


@dataclass(frozen=True, slots=True)
class Word:
    """One word of the normalised text."""

    kind: str
    text: str
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Words:
    """Words that belong together: types, groups, a temperature, EPLs, an ambient range."""

    kind: str
    words: tuple[Word, ...]

    @property
    def start(self) -> int:
        """Where the first word begins."""
        return self.words[0].start

    @property
    def end(self) -> int:
        """Where the last word ends."""
        return self.words[-1].end


@dataclass(frozen=True, slots=True)
class Bracket:
    """What stands between square brackets, or the whole of it without an own type."""

    start: int
    end: int
    prefix: Word | None
    types: Words
    groups: Words | None
    epls: Words | None


@dataclass(frozen=True, slots=True)
class Zone:
    """A zone of North America in front of an Ex string."""

    start: int
    end: int
    na_class: Word | None
    number: Word


@dataclass(frozen=True, slots=True)
class Ex:
    """One Ex string."""

    start: int
    end: int
    zone: Zone | None
    prefix: Word
    pure: bool
    types: Words | None
    brackets: tuple[Bracket, ...]
    groups: Words | None
    temperature: Words | None
    epls: Words | None
    ambient: Words | None


@dataclass(frozen=True, slots=True)
class Eu:
    """One directive part."""

    start: int
    end: int
    words: tuple[Word, ...]


@dataclass(frozen=True, slots=True)
class Division:
    """One Class and Division marking."""

    start: int
    end: int
    mark: Word | None
    romans: tuple[Word, ...]
    division: Word | None
    groups: Word | None
    temperature: Words | None
    ambient: Words | None


@dataclass(frozen=True, slots=True)
class Tag:
    """A word that stands beside the marking."""

    word: Word


Item = Ex | Eu | Division | Tag


def _word(token: Token) -> Word:
    start = token.start_pos or 0
    return Word(token.type, str(token), start, start + len(token))


def _words(kind: str, children: list[Any]) -> Words:
    return Words(kind, tuple(_word(child) for child in children if isinstance(child, Token)))


def _groups(children: list[Any], kind: str) -> list[Words]:
    return [child for child in children if isinstance(child, Words) and child.kind == kind]


def _group(children: list[Any], kind: str) -> Words | None:
    return next(iter(_groups(children, kind)), None)


def _tokens(children: list[Any], kind: str) -> list[Word]:
    return [_word(child) for child in children if isinstance(child, Token) and child.type == kind]


def _token(children: list[Any], kind: str) -> Word | None:
    return next(iter(_tokens(children, kind)), None)


def _extent(children: list[Any]) -> tuple[int, int]:
    first, last = (
        _word(child) if isinstance(child, Token) else child for child in (children[0], children[-1])
    )
    return int(first.start), int(last.end)


class _Reader(Transformer[Token, Any]):
    """Lark tree -> items. It decides nothing; the checks come after."""

    def types(self, children: list[Any]) -> Words:
        return _words("types", children)

    def groups(self, children: list[Any]) -> Words:
        return _words("groups", children)

    def temperature(self, children: list[Any]) -> Words:
        return _words("temperature", children)

    def epls(self, children: list[Any]) -> Words:
        return _words("epls", children)

    def ambient(self, children: list[Any]) -> Words:
        return _words("ambient", children)

    def bracket(self, children: list[Any]) -> Bracket:
        return Bracket(
            *_extent(children),
            _token(children, "PREFIX"),
            _groups(children, "types")[0],
            _group(children, "groups"),
            _group(children, "epls"),
        )

    def zone(self, children: list[Any]) -> Zone:
        return Zone(*_extent(children), _token(children, "ROMAN"), _tokens(children, "ZONE")[0])

    def body(self, children: list[Any]) -> Ex:
        return Ex(
            *_extent(children),
            None,
            _tokens(children, "PREFIX")[0],
            False,
            _group(children, "types"),
            tuple(child for child in children if isinstance(child, Bracket)),
            _group(children, "groups"),
            _group(children, "temperature"),
            _group(children, "epls"),
            _group(children, "ambient"),
        )

    def pure(self, children: list[Any]) -> Ex:
        at = children.index("]")
        inside, outside = children[: at + 1], children[at + 1 :]
        prefix = _tokens(inside, "PREFIX")[0]
        bracket = Bracket(
            *_extent(inside),
            prefix,
            _groups(inside, "types")[0],
            _group(inside, "groups"),
            _group(inside, "epls"),
        )
        return Ex(
            *_extent(children),
            None,
            prefix,
            True,
            None,
            (bracket,),
            _group(outside, "groups"),
            _group(outside, "temperature"),
            _group(outside, "epls"),
            _group(outside, "ambient"),
        )

    def ex(self, children: list[Any]) -> Ex:
        string: Ex = children[-1]
        if len(children) == 1:
            return string
        zone: Zone = children[0]
        return Ex(
            zone.start,
            string.end,
            zone,
            string.prefix,
            string.pure,
            string.types,
            string.brackets,
            string.groups,
            string.temperature,
            string.epls,
            string.ambient,
        )

    def eu(self, children: list[Any]) -> Eu:
        return Eu(*_extent(children), tuple(_word(child) for child in children))

    def division(self, children: list[Any]) -> Division:
        return Division(
            *_extent(children),
            _token(children, "IS_MARK"),
            tuple(_tokens(children, "ROMAN")),
            _token(children, "DIVISION"),
            _token(children, "NA_GROUPS"),
            _group(children, "temperature"),
            _group(children, "ambient"),
        )

    def tag(self, children: list[Any]) -> Tag:
        return Tag(_word(children[0]))

    def start(self, children: list[Any]) -> list[Item]:
        return list(children)


@cache
def _parser() -> Lark:
    grammar = files("subspark.marking").joinpath("grammar.lark").read_text(encoding="utf-8")
    return Lark(grammar, parser="lalr", lexer="contextual", maybe_placeholders=False)


@dataclass(frozen=True, slots=True)
class Stop:
    """Where the grammar could not go on, and which words it would have taken."""

    start: int
    expected: frozenset[str]


class UnreadableError(PartError):
    """The grammar stopped; the words that it would have taken are kept for the explanation."""

    def __init__(self, stop: Stop) -> None:
        super().__init__(stop.start, stop.start, "cannot be read")
        self.stop = stop


def parse(text: str) -> list[Item]:
    """Items of a normalised label, in order.

    Raises
    ------
    UnreadableError
        At the first place where the grammar cannot go on.
    """
    try:
        tree = _parser().parse(text)
    except UnexpectedToken as error:
        start = error.token.start_pos
        at_end = error.token.type == "$END" or start is None
        stop = Stop(len(text) if at_end else int(start or 0), frozenset(error.expected))
        raise UnreadableError(stop) from None
    except UnexpectedCharacters as error:
        raise UnreadableError(
            Stop(cast("int", error.pos_in_stream), frozenset(error.allowed or ()))
        ) from None
    except UnexpectedInput:
        raise UnreadableError(Stop(len(text), frozenset())) from None
    items: list[Item] = _Reader().transform(tree)
    return items
