"""One Ex string: types of protection, groups, temperature, brackets (internal).

Every check here looks at one string alone. What the directive part, the zone in front and the
other alternatives of the label add is settled in ``_settle``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from subspark.marking._parse import Bracket, Ex, Word, Words
from subspark.marking._values import Ambient, Heat, read_ambient, read_temperature
from subspark.marking._vocabulary import (
    NEEDS_SUBGROUP,
    OLD_DUST,
    SERVABLE,
    TYPES,
    PartError,
    family,
)

__all__ = ["Draft", "Epl", "Types", "read_string"]

_PREFIXES = {"EX": "Ex", "EEX": "EEx", "AEX": "AEx", "ex": "Ex"}
_GLUED = re.compile(r"px|py|i[ab]|[depqmo]")
_EPLS = {"Ma", "Mb", "Ga", "Gb", "Gc", "Da", "Db", "Dc"}
_LEVELS = ("ia", "ib", "ic")


@dataclass(frozen=True, slots=True)
class Epl:
    """One printed EPL."""

    text: str
    word: Word

    @property
    def letter(self) -> str:
        """The part that ranks: "a", "b" or "c"."""
        return self.text[1]


@dataclass(frozen=True, slots=True)
class Types:
    """Types of protection of one side of the brackets."""

    start: int
    end: int
    names: tuple[str, ...] = ()
    inner: tuple[str, ...] = ()

    @property
    def level(self) -> str:
        """The weakest level of protection "ia", "ib" or "ic"; "" for none."""
        return max((name for name in self.names if name in _LEVELS), default="")

    @property
    def sides(self) -> list[tuple[str, ...]]:
        """The types of each side of a boundary wall; one entry where there is none."""
        return [self.inner, self.names[len(self.inner) :]] if self.inner else [self.names]


@dataclass(slots=True)
class Draft:
    """One alternative on the way to a Marking, with the places of what may still be wrong."""

    ex: Ex
    prefix: str
    types: Types | None
    served: Types | None
    group: str
    group_word: Word | None
    served_group: str
    served_group_word: Word | None
    heat: Heat
    ambient: Ambient
    epls: list[Epl]
    served_epl: Epl | None
    notes: list[str] = field(default_factory=list)

    @property
    def family(self) -> str:
        """EPL family of the apparatus itself; "" for associated apparatus in a safe place."""
        return family(self.group) if self.types is not None else ""

    @property
    def served_family(self) -> str:
        """EPL family of the circuits served; "" without a bracket."""
        return family(self.served_group)


def _prefix(word: Word, notes: list[str]) -> str:
    text = _PREFIXES.get(word.text, word.text)
    if text != word.text:
        notes.append(f"legacy spelling: {word.text} read as {text}")
    return text


def _type_names(word: Word, upper: bool, notes: list[str]) -> tuple[str, ...]:
    text = word.text
    if text.startswith("op"):
        return (f"op {text[2:].strip()}",)
    if text in TYPES:
        return (text,)
    if text == "i":
        raise PartError(
            word.start,
            word.end,
            "the level of protection is missing: i alone is not a type of protection",
            "ia, ib or ic",
        )
    if text.endswith("D"):
        raise PartError(word.start, word.end, *OLD_DUST)
    if text.startswith("I"):
        if not upper:
            raise PartError(
                word.start,
                word.end,
                f"{text} is not a type of protection; is {text.lower()!r} meant?",
                "ia, ib or ic",
            )
        notes.append(f"legacy spelling: {text} read as {text.lower()}")
        return (text.lower(),)
    names = tuple(_GLUED.findall(text))
    notes.append(f"legacy spelling: {text} read as {' '.join(names)}")
    return names


def _types(words: Words, upper: bool, notes: list[str], *, bracket: bool = False) -> Types:
    names: tuple[str, ...] = ()
    inner: tuple[str, ...] = ()
    for word in words.words:
        if word.kind == "SLASH":
            if bracket or len(names) != 1:
                raise PartError(
                    word.start,
                    word.end,
                    "a slash stands between the two sides of a boundary wall only",
                    "ia/db outside of brackets, with one type before the slash",
                )
            inner = names
            continue
        found = _type_names(word, upper, notes)
        if len({*names, *found}) < len(names) + len(found):
            why = f"type of protection {found[0]} is named twice"
            raise PartError(word.start, word.end, why, "each type once")
        if bracket:
            for name in found:
                if name not in SERVABLE:
                    raise PartError(
                        word.start,
                        word.end,
                        f"type of protection {name} cannot stand in brackets: it protects no "
                        "circuit outside of the apparatus",
                        "[ia], [ib] or [ic]",
                    )
        names += found
    types = Types(words.start, words.end, names, inner)
    levels = sorted({name for name in names if name in _LEVELS})
    if len(levels) > 1:
        notes.append(f"several levels of protection ({', '.join(levels)}): {levels[-1]} is taken")
    return types


def _group(word: Word, types: tuple[str, ...], notes: list[str]) -> str:
    head, _, gas = word.text.partition("(")
    text = head.replace(" ", "")
    hydrogen = text.endswith("+H2")
    name = text.removesuffix("+H2")
    subgroups = [kind for kind in types if kind in NEEDS_SUBGROUP]
    if name == "III":
        raise PartError(word.start, word.end, "group III needs a subgroup", "IIIA, IIIB or IIIC")
    if name == "II" and subgroups:
        raise PartError(
            word.start,
            word.end,
            f"group II needs a subgroup for {subgroups[0]}",
            "IIA, IIB, IIB+H2 or IIC",
        )
    if (gas and name in ("I", "II")) or (gas and name.startswith("III")):
        raise PartError(
            word.start,
            word.end,
            f"group {name} with the name of one gas cannot be read",
            "IIA, IIB or IIC",
        )
    if hydrogen and name != "IIB":
        raise PartError(word.start, word.end, f"+H2 does not belong to group {name}", "IIB+H2")
    if gas:
        notes.append(f"the gas named beside the group is not counted: {gas.rstrip(')')}")
    if re.match(r"II+ ", head):
        notes.append(f"legacy spelling: {head.strip()} read as {text}")
    return text


def _groups(words: Words | None, types: tuple[str, ...], many: bool, notes: list[str]) -> list[str]:
    """Groups of one string; more than one only outside the bracket of associated apparatus."""
    if words is None:
        return []
    named = [word for word in words.words if word.kind == "GROUP"]
    groups = [_group(word, types, notes) for word in named]
    if len(groups) > 1:
        families = {family(group) for group in groups}
        if not many or "D" in families:
            merged = "gas and dust" if len(families) > 1 and "D" in families else "several"
            raise PartError(
                words.start,
                words.end,
                f"{merged} groups are merged in one string",
                "one complete string for each",
            )
    return groups


def _epls(words: Words | None, notes: list[str]) -> list[Epl]:
    found: list[Epl] = []
    for word in words.words if words is not None else ():
        if word.kind != "EPL":
            continue
        text = word.text[0].upper() + word.text[1:].lower()
        if text not in _EPLS:
            raise PartError(
                word.start,
                word.end,
                f"there is no EPL {word.text}",
                "Ma, Mb, Ga, Gb, Gc, Da, Db or Dc",
            )
        if text != word.text:
            notes.append(f"legacy spelling: {word.text} read as {text}")
        found.append(Epl(text, word))
    return found


def _in_family(epl: Epl, group: str) -> None:
    if epl.text[0] != family(group):
        raise PartError(
            epl.word.start,
            epl.word.end,
            f"EPL {epl.text} does not belong to group {group}",
            f"an EPL that begins with {family(group)}",
        )


def _no_epl_with_eex(prefix: str, words: Words | None) -> None:
    if prefix == "EEx" and words is not None:
        raise PartError(
            words.start,
            words.end,
            "EEx never carries an EPL: two editions are mixed",
            "Ex with the EPL, or EEx without it",
        )


def _dust_with_eex(prefix: str, words: Words | None) -> None:
    if prefix != "EEx" or words is None:
        return
    for word in words.words:
        if word.text.startswith("III"):
            raise PartError(
                word.start,
                word.end,
                "EEx never carries a dust group: two editions are mixed",
                "Ex with the dust group",
            )


def _heat(ex: Ex, group: str, word: Word) -> Heat:
    """Temperature of apparatus in a hazardous place; group I has none, II and III must have it."""
    temperature = ex.temperature
    if family(group) == "M":
        if temperature is not None:
            raise PartError(
                temperature.start,
                temperature.end,
                "group I has no temperature class",
                "the marking without it",
            )
        return Heat()
    if temperature is None:
        wanted = "T1 to T6, or degrees" if family(group) == "G" else "degrees, such as T135 °C"
        raise PartError(
            word.start,
            word.end,
            f"apparatus of group {group} without temperature class or surface temperature",
            f"{wanted}, after the group",
        )
    return read_temperature(temperature, family(group))


def _dust_type(types: Types, group: str) -> None:
    kinds = [name for name in types.names if name in ("ta", "tb", "tc", "t")]
    if kinds and family(group) != "D":
        raise PartError(
            types.start,
            types.end,
            f"type of protection {kinds[0]} is for dust and does not belong to group {group}",
            "group IIIA, IIIB or IIIC",
        )


@dataclass(frozen=True, slots=True)
class _Served:
    types: Types
    groups: list[str]
    word: Word | None
    epl: Epl | None


def _bracket(item: Bracket, prefix: str, upper: bool, notes: list[str]) -> _Served:
    _no_epl_with_eex(prefix, item.epls)
    _dust_with_eex(prefix, item.groups)
    types = _types(item.types, upper, notes, bracket=True)
    epls = _epls(item.epls, notes)
    if len(epls) > 1 and item.epls is not None:
        raise PartError(item.epls.start, item.epls.end, "two EPLs in one bracket", "one EPL")
    groups = _groups(item.groups, types.names, False, notes)
    word = item.groups.words[0] if item.groups is not None else None
    return _Served(types, groups, word, epls[0] if epls else None)


def _associated(ex: Ex, prefix: str, notes: list[str], upper: bool) -> list[Draft]:
    """[Ex ia Ga] IIC: one draft for each group."""
    served = _bracket(ex.brackets[0], prefix, upper, notes)
    _dust_with_eex(prefix, ex.groups)
    if ex.temperature is not None:
        raise PartError(
            ex.temperature.start,
            ex.temperature.end,
            "associated apparatus for a safe place has no temperature class: nothing of it stands "
            "in a hazardous place",
            "the marking without it, or a type of protection outside of the bracket",
        )
    if ex.epls is not None:
        raise PartError(
            ex.epls.start,
            ex.epls.end,
            "the EPL of associated apparatus stands in the bracket",
            "[Ex ia Ga] IIC",
        )
    outside = _groups(ex.groups, served.types.names, True, notes)
    if served.groups and outside and outside != served.groups and ex.groups is not None:
        raise PartError(
            ex.groups.start,
            ex.groups.end,
            f"group {'/'.join(outside)} outside of the bracket and {served.groups[0]} inside",
            "one group",
        )
    if not served.groups and not outside:
        raise PartError(
            ex.brackets[0].start,
            ex.brackets[0].end,
            "the group is missing",
            "IIA, IIB, IIC, IIIA, IIIB, IIIC or I after the bracket",
        )
    word = ex.groups.words[0] if ex.groups is not None else None
    drafts = []
    for group in outside or served.groups:
        if served.epl is not None:
            _in_family(served.epl, group)
        drafts.append(
            Draft(
                ex=ex,
                prefix=prefix,
                types=None,
                served=served.types,
                group=group if outside else "",
                group_word=word,
                served_group=group,
                served_group_word=served.word or word,
                heat=Heat(),
                ambient=read_ambient(ex.ambient),
                epls=[],
                served_epl=served.epl,
                notes=list(notes),
            )
        )
    return drafts


def _apparatus(ex: Ex, prefix: str, notes: list[str], upper: bool) -> list[Draft]:
    """Ex ia IIC T4 Ga, Ex db [ia Ga] IIC T6 Gb: one draft for each bracket, or one."""
    if ex.types is None:
        raise PartError(
            ex.prefix.start,
            ex.prefix.end,
            f"no type of protection after {prefix}",
            "Ex ia ..., or [Ex ia ...] for associated apparatus in a safe place",
        )
    types = _types(ex.types, upper, notes)
    _no_epl_with_eex(prefix, ex.epls)
    _dust_with_eex(prefix, ex.groups)
    groups = _groups(ex.groups, types.names, False, notes)
    if not groups or ex.groups is None:
        raise PartError(
            ex.types.start,
            ex.brackets[-1].end if ex.brackets else ex.types.end,
            "the group is missing",
            "IIA, IIB, IIC, IIIA, IIIB, IIIC or I after the type of protection",
        )
    group, word = groups[0], ex.groups.words[0]
    _dust_type(types, group)
    heat = _heat(ex, group, word)
    epls = _epls(ex.epls, notes)
    for epl in epls:
        _in_family(epl, group)
    ambient = read_ambient(ex.ambient)
    draft_of_none = Draft(
        ex, prefix, types, None, group, word, "", None, heat, ambient, epls, None, notes
    )
    if not ex.brackets:
        return [draft_of_none]
    drafts = []
    for item in ex.brackets:
        own_notes = list(notes)
        if item.prefix is not None:
            inside = _prefix(item.prefix, own_notes)
            if inside != prefix:
                raise PartError(
                    item.prefix.start,
                    item.prefix.end,
                    f"{inside} in a bracket behind {prefix}: two editions are mixed",
                    "the bracket without prefix",
                )
            own_notes.append("legacy spelling: the prefix is repeated in the bracket")
        served = _bracket(item, prefix, upper, own_notes)
        if not served.groups:
            _group(word, served.types.names, [])  # a plain II outside says nothing for [ia]
        served_group = served.groups[0] if served.groups else group
        if served.epl is not None:
            _in_family(served.epl, served_group)
        drafts.append(
            Draft(
                ex,
                prefix,
                types,
                served.types,
                group,
                word,
                served_group,
                served.word or word,
                heat,
                ambient,
                epls,
                served.epl,
                own_notes,
            )
        )
    return drafts


def read_string(ex: Ex) -> list[Draft]:
    """Alternatives of one Ex string.

    IEC 60079-0:2017 clause 29, from memory.

    Raises
    ------
    PartError
        At the first thing that is wrong with the string by itself.
    """
    notes: list[str] = []
    prefix = _prefix(ex.prefix, notes)
    upper = ex.prefix.text.isupper()
    first = ex.brackets[0].types if ex.pure else ex.types
    if first is not None and first.start == ex.prefix.end:
        notes.append(f"legacy spelling: no blank after {prefix}")
    drafts = (_associated if ex.pure else _apparatus)(ex, prefix, notes, upper)
    if len({(draft.served_family, draft.served_group) for draft in drafts}) < len(drafts):
        for draft in drafts:
            draft.notes.append("several brackets serve the same group: each is an alternative")
    return drafts
