"""Filters and marks of the pages: verdicts, shares and lengths as people read them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString

from subspark.assess.words import percent
from subspark.rules import Verdict

__all__ = ["register"]

register = template.Library()

_MARKS = {"works": "safe", "fails": "unsafe", "not judged": "unproven"}
"""Marks of the verdicts of function: those of safety, with words of their own."""


@register.filter
def word(verdict: object) -> str:
    """The word of a verdict, be it a number or a word already."""
    return verdict if isinstance(verdict, str) else Verdict(int(str(verdict))).word


@register.simple_tag
def verdict(given: object, *, quiet: bool = False) -> SafeString:
    """A verdict by shape, colour and word."""
    said = word(given)
    mark = _MARKS.get(said, said).replace(" ", "-")
    return format_html(
        '<span class="v v-{0}"><svg class="g" aria-hidden="true"><use href="#g-{0}"/></svg>'
        "<span{1}>{2}</span></span>",
        mark,
        format_html(' class="{}"', "unseen") if quiet else "",
        said,
    )


@register.filter
def share(used: float | None) -> str:
    """A utilisation in percent; nothing where there is none."""
    return "" if used is None or used < 0 else percent(used)


@register.simple_tag
def bar(used: float | None, said: object = "safe") -> SafeString:
    """A utilisation as a bar, full at 100 %; what is above it stands out."""
    if used is None or used < 0:
        return SafeString('<svg class="bar" aria-hidden="true" viewBox="0 0 120 8"></svg>')
    wide = min(used, 1.2) * 100
    return format_html(
        '<svg class="bar bar-{}" aria-hidden="true" viewBox="0 0 120 8" '
        'preserveAspectRatio="none"><rect class="bar-ground" width="100" height="8"/>'
        '<rect class="bar-used" width="{}" height="8"/>'
        '<line class="bar-limit" x1="100" x2="100" y2="8"/></svg>',
        _MARKS.get(word(said), word(said)).replace(" ", "-"),
        f"{wide:.1f}",
    )


@register.filter
def rare(boxes: list[Any]) -> list[Any]:
    """The fields of a form that stand behind "more fields"."""
    return [one for one in boxes if one.rare]


@register.filter
def read_in(boxes: list[Any]) -> str:
    """Where a record was read, in one line."""
    words = [one.value for one in boxes if one.sort == "evidence" and one.value]
    return "read in " + ", ".join(words) if words else ""


@register.simple_tag
def stair(left: float | None, needed: float | None) -> SafeString:
    """A step of a staircase as a bar, with the mark of what is needed."""
    mark = (
        SafeString("")
        if needed is None
        else format_html(
            '<line class="bar-limit" x1="{0}" x2="{0}" y2="8"/>', f"{needed * 100:.1f}"
        )
    )
    return format_html(
        '<svg class="bar bar-wide" aria-hidden="true" viewBox="0 0 101 8" '
        'preserveAspectRatio="none"><rect class="bar-ground" width="100" height="8"/>'
        '<rect class="bar-left" width="{}" height="8"/>{}</svg>',
        f"{(left or 0.0) * 100:.1f}",
        mark,
    )


@register.filter
def add_to(number: float, more: float) -> str:
    """A number and another, as a coordinate."""
    return f"{float(number) + float(more):.1f}"


@register.filter
def metres(length: float | None) -> str:
    """A length in metres."""
    return "" if length is None else f"{length:,.6g}"


@register.filter
def at(mapping: Mapping[str, Any], key: str) -> Any:  # noqa: ANN401 - whatever it holds
    """What a mapping holds under a key; None where nothing."""
    return mapping.get(key)


@register.filter
def thousands(number: int) -> str:
    """A count with its thousands apart."""
    return f"{number:,}"


@register.filter
def plural(number: int, noun: str) -> str:
    """A count with its noun: "1 circuit", "2 circuits"."""
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
