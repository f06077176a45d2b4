"""What may not happen on a drawing: texts on texts, texts under lines, anything off the frame."""

from __future__ import annotations

from collections.abc import Iterator

from subspark.papers.drawings.shapes import Box, Line, Path, Rect, Sheet, Text, extent, flat

LINES = {"wire", "wire open", "boundary", "zone", "safe wire", "earth", "earth bar"}


def overlapping_texts(sheet: Sheet, by: float = 0.05) -> Iterator[tuple[str, str]]:
    """Pairs of texts whose measured boxes overlap; a sweep from the top."""
    texts = sorted(
        (one for one in flat(sheet.shapes) if isinstance(one, Text) and one.text.strip()),
        key=lambda one: one.box.top,
    )
    live: list[tuple[Box, str]] = []
    for one in texts:
        box = one.box
        live = [(other, text) for other, text in live if other.bottom > box.top + by]
        for other, text in live:
            if box.meets(other, by):
                yield one.text, text
        live.append((box, one.text))


def segments(shape: object) -> Iterator[tuple[float, float, float, float]]:
    """Straight parts of a line that carries a meaning."""
    if isinstance(shape, Line) and shape.kind in LINES:
        yield shape.x1, shape.y1, shape.x2, shape.y2
    if isinstance(shape, Path) and shape.kind in LINES:
        for (x1, y1), (x2, y2) in zip(shape.points, shape.points[1:], strict=False):
            yield x1, y1, x2, y2


def struck_texts(sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Texts through which a wire or boundary runs (level or upright ones)."""
    shapes = list(flat(sheet.shapes))
    texts = [(one.box, one) for one in shapes if isinstance(one, Text)]
    for shape in shapes:
        for x1, y1, x2, y2 in segments(shape):
            line = Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
            for box, text in texts:
                middle = Box(box.left + 0.1, text.y - 0.5 * text.size, box.right - 0.1, text.y)
                if (
                    line.left < middle.right
                    and line.right > middle.left
                    and (line.top < middle.bottom and line.bottom > middle.top)
                ):
                    yield text.text, shape.kind


def outside(sheet: Sheet) -> Iterator[str]:
    """Shapes that leave the sheet, and texts that leave the frame."""
    paper = Box(0.0, 0.0, sheet.width, sheet.height)
    for one in flat(sheet.shapes):
        within = sheet.inside if isinstance(one, Text) else paper
        if not within.holds(extent(one), 0.02):
            yield f"{one}"


def card_texts(sheet: Sheet) -> Iterator[tuple[str, Rect]]:
    """Texts that stick out of the card in which they begin."""
    shapes = list(flat(sheet.shapes))
    cards = [one for one in shapes if isinstance(one, Rect) and one.kind in ("card", "box")]
    for text in (one for one in shapes if isinstance(one, Text)):
        box = text.box
        for card in cards:
            inner = extent(card)
            starts = inner.left < box.left < inner.right and inner.top < text.y < inner.bottom
            if starts and not inner.holds(box, 0.6):
                yield text.text, card


def overlapping_cards(sheet: Sheet, by: float = 0.05) -> Iterator[tuple[Rect, Rect]]:
    """Cards and boxes that lie on each other."""
    cards = [
        one
        for one in flat(sheet.shapes)
        if isinstance(one, Rect) and one.kind in ("card", "box", "open")
    ]
    for nth, one in enumerate(cards):
        for other in cards[nth + 1 :]:
            if extent(one).meets(extent(other), by):
                yield one, other


def faults(sheet: Sheet) -> list[object]:
    """All that is wrong with a sheet."""
    return [
        *overlapping_texts(sheet),
        *struck_texts(sheet),
        *outside(sheet),
        *card_texts(sheet),
        *overlapping_cards(sheet),
    ]
