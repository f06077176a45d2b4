"""How a verdict looks: word, glyph and colour together, distinct in grey print too."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from subspark.papers.drawings.shapes import Circle, Line, Path, Shape
from subspark.papers.drawings.words import say
from subspark.rules import Verdict

__all__ = ["KINDS", "counted", "glyph"]

KINDS = {
    Verdict.SAFE: ("safe text", "safe mark"),
    Verdict.UNSAFE: ("break text", "unsafe mark"),
    Verdict.UNPROVEN: ("open text", "unproven mark"),
}
"""Pens of text and glyph."""


def glyph(verdict: Verdict, x: float, y: float, r: float = 1.9) -> Iterator[Shape]:
    """Filled disc, filled diamond with a cut, or open ring."""
    kind = KINDS[verdict][1]
    if verdict is Verdict.UNSAFE:
        yield Path(((x, y - r), (x + r, y), (x, y + r), (x - r, y)), kind, closed=True)
        yield Line(x - r * 0.45, y + r * 0.45, x + r * 0.45, y - r * 0.45, "terminal")
    else:
        yield Circle(x, y, r, kind)


def counted(verdicts: Iterable[Verdict | None]) -> tuple[Verdict, str]:
    """Worst verdict of several circuits and how many are what; not assessed is unproven."""
    found = Counter(say("not judged") if one is None else one.word for one in verdicts)
    worst = Verdict.SAFE
    if found["unsafe"]:
        worst = Verdict.UNSAFE
    elif found["unproven"] or found[say("not judged")]:
        worst = Verdict.UNPROVEN
    total = sum(found.values())
    told = ", ".join(f"{count} {word}" for word, count in sorted(found.items()))
    return worst, say("counted", total=total, told=told)
