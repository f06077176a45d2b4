"""From a text to a label: the order in which its parts are read and joined (internal).

Importing this module imports lark.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from subspark.errors import MarkingError
from subspark.marking._america import read_division
from subspark.marking._diagnose import balance, explain
from subspark.marking._eu import Directive, read_directive
from subspark.marking._normal import Normal, normalise
from subspark.marking._parse import Division, Eu, Ex, Item, Tag, UnreadableError, parse
from subspark.marking._settle import settle
from subspark.marking._strings import Draft, read_string
from subspark.marking._vocabulary import PartError
from subspark.marking.facts import Label, Marking

__all__ = ["read"]

LONGEST = 1000
_DEFAULT_AMBIENT = (-20.0, 40.0)  # [degC], IEC 60079-0:2017 table 1


@dataclass(slots=True)
class _Block:
    """Directive parts and the Ex strings that they belong to."""

    directives: list[Directive] = field(default_factory=list)
    strings: list[Ex] = field(default_factory=list)


def _blocks(items: list[Item]) -> list[_Block]:
    """Directive parts stand before their strings, or behind them if a string opens the label.

    A string behind a North American zone never has one.
    """
    zoned = [item for item in items if isinstance(item, Ex) and item.zone is not None]
    parts = [item for item in items if isinstance(item, Eu | Ex) and item not in zoned]
    behind = bool(parts) and isinstance(parts[0], Ex)
    blocks: list[_Block] = []
    for item in parts:
        opens = isinstance(item, Ex) if behind else isinstance(item, Eu)
        closed = not blocks or (blocks[-1].directives if behind else blocks[-1].strings)
        if opens and closed:
            blocks.append(_Block())
        if isinstance(item, Eu):
            blocks[-1].directives.append(read_directive(item))
        else:
            blocks[-1].strings.append(item)
    return blocks + [_Block(strings=[item]) for item in zoned]


def _directive(draft: Draft, block: _Block) -> Directive | None:
    """The directive part of a block that belongs to a string.

    Raises
    ------
    PartError
        Where two of them could belong to it.
    """
    if len(block.directives) <= 1:
        return block.directives[0] if block.directives else None
    families = (draft.family, draft.served_family)
    fitting = [
        item
        for item in block.directives
        if item.covers(*families) and (item.own is None) == (draft.types is None)
    ]
    if len(fitting) == 1:
        return fitting[0]
    first, last = block.directives[0], block.directives[-1]
    why = "none of the directive parts belongs" if not fitting else "several directive parts belong"
    raise PartError(
        first.start,
        last.end,
        f"{why} to group {draft.group or draft.served_group}",
        "each directive part before its own Ex string",
    )


def _marking(draft: Draft, directive: Directive | None, block: _Block, normal: Normal) -> Marking:
    settled = settle(draft, directive)
    notes = [*draft.notes, *draft.heat.notes, *draft.ambient.notes, *settled.notes]
    ex = draft.ex
    start, end = ex.start, ex.end
    if directive is not None and len(block.directives) == len(block.strings) == 1:
        start, end = min(start, directive.start), max(end, directive.end)
    zone = ex.zone
    if directive is not None:
        dialect = "EU"
        if draft.prefix == "AEx":
            notes.append("AEx does not go with a directive part")
    elif draft.prefix == "AEx" or zone is not None:
        dialect = "NEC-zone"
    else:
        dialect = "CENELEC" if draft.prefix == "EEx" else "IEC"
    role = "apparatus"
    if draft.served is not None:
        role = "associated" if draft.types is None else "both"
    pure_atmosphere = directive is not None and directive.own is None
    if directive is not None:
        letters = directive.served_atmosphere if pure_atmosphere else directive.atmosphere
        letters += directive.served_atmosphere
        if "D" in letters and "D" not in (draft.family, draft.served_family):
            notes.append("D in the directive part: this string names no dust group")
    served_level = draft.served.level if draft.served is not None else ""
    if draft.types is not None and draft.types.level and draft.types.level == served_level:
        notes.append("the level in the bracket repeats that of the apparatus itself")
    return Marking(
        dialect=dialect,
        role=role,
        prefix=draft.prefix,
        protection=draft.types.names if draft.types is not None else (),
        inner=draft.types.inner if draft.types is not None else (),
        level=draft.types.level if draft.types is not None else "",
        group=draft.group,
        served_protection=draft.served.names if draft.served is not None else (),
        served_level=served_level,
        served_group=draft.served_group,
        served_epl=settled.served_epl,
        served_epl_derived=settled.served_epl_derived,
        temperature_classes=draft.heat.classes,
        surface_temperature=draft.heat.surface,
        dust_layer_depth=draft.heat.layer,
        epl=settled.epl,
        epl_derived=settled.epl_derived,
        ambient_min=draft.ambient.low,
        ambient_max=draft.ambient.high,
        eu_group=directive.group.text if directive is not None else "",
        category=directive.category if directive is not None else "",
        served_category=directive.served_category if directive is not None else "",
        atmosphere=directive.atmosphere if directive is not None else "",
        served_atmosphere=directive.served_atmosphere if directive is not None else "",
        na_class=(zone.na_class.text,) if zone is not None and zone.na_class is not None else (),
        na_zone=zone.number.text[4:].strip() if zone is not None else "",
        notes=tuple(dict.fromkeys(notes)),
        text=normal.slice(start, end),
    )


def _share_ambient(markings: list[Marking], normal: Normal) -> list[Marking]:
    """Where some alternatives carry an ambient range, the others get no wider one.

    Whether a range at the end of a label holds for all of it cannot be read. An alternative
    without one keeps the default range as far as every printed range allows.

    Raises
    ------
    PartError
        Where nothing is left of the default range.
    """
    marked = [m for m in markings if m.ambient_max is not None]
    if not marked or len(marked) == len(markings):
        return markings
    low, high = _DEFAULT_AMBIENT
    lows = [m.ambient_min for m in marked if m.ambient_min is not None]
    highs = [m.ambient_max for m in marked if m.ambient_max is not None]
    least, most = max([low, *lows]), min([high, *highs])
    if least > most:
        raise PartError(
            0,
            len(normal.text),
            "the ambient range of one alternative excludes the default range, and others have none",
            "the ambient range with each alternative",
        )
    if (least, most) == _DEFAULT_AMBIENT:
        note = "the ambient range printed with another alternative is not taken for this one"
        ambient: tuple[float | None, float | None] = (None, None)
    else:
        note = "ambient range narrowed to that of another alternative"
        ambient = (least, most)
    return [
        m
        if m.ambient_max is not None
        else replace(m, ambient_min=ambient[0], ambient_max=ambient[1], notes=(*m.notes, note))
        for m in markings
    ]


def _read_block(block: _Block, normal: Normal, notes: list[str]) -> list[tuple[int, Marking]]:
    """Markings of a block with their places."""
    if not block.strings:
        first, last = block.directives[0], block.directives[-1]
        raise PartError(
            first.start,
            last.end,
            "a directive part without an Ex string",
            "such as II 1 G Ex ia IIC T4 Ga",
        )
    placed: list[tuple[int, Marking]] = []
    used: list[Directive] = []
    for ex in block.strings:
        for draft in read_string(ex):
            directive = _directive(draft, block)
            if directive is not None:
                used.append(directive)
            placed.append((ex.start, _marking(draft, directive, block, normal)))
    notes += [
        f"{normal.slice(item.start, item.end)}: no Ex string belongs to this directive part"
        for item in block.directives
        if item not in used
    ]
    return placed


def _label(normal: Normal) -> Label:
    text = normal.text
    balance(text)
    try:
        items = parse(text)
    except UnreadableError as error:
        raise explain(normal, error.stop) from None
    placed: list[tuple[int, Marking]] = []
    notes: list[str] = []
    for block in _blocks(items):
        placed += _read_block(block, normal, notes)
    for item in items:
        if isinstance(item, Division):
            marking = replace(read_division(item), text=normal.slice(item.start, item.end))
            placed.append((item.start, marking))
    if not placed:
        raise PartError(0, len(text), "there is no Ex marking", "a marking such as Ex ia IIC T4 Ga")
    placed.sort(key=lambda pair: pair[0])
    markings = _share_ambient([marking for _, marking in placed], normal)
    if len(markings) > 1:
        notes.append("several alternatives: one of them has to pass every check by itself")
    tags = tuple(item.word.text for item in items if isinstance(item, Tag))
    return Label(normal.original, tuple(markings), tags, tuple(notes))


def read(text: str) -> Label:
    """Read a label; see `subspark.marking.read_marking`."""
    if len(text) > LONGEST:
        raise MarkingError(
            text,
            LONGEST,
            len(text),
            f"{len(text)} characters are too many for a label",
            f"at most {LONGEST}",
        )
    normal = normalise(text)
    try:
        return _label(normal)
    except PartError as fault:
        start, end = normal.place(fault.start, fault.end)
        raise MarkingError(text, start, end, fault.why, fault.wanted) from None
