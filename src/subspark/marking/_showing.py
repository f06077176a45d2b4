"""The canonical text of one alternative (internal)."""

from __future__ import annotations

from subspark.marking._vocabulary import IEC_CLASSES
from subspark.marking.facts import Marking

__all__ = ["show"]

_FEW = 2  # so many temperature classes are shown one by one


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _types(marking: Marking) -> str:
    count = len(marking.inner)
    text = " ".join(marking.protection[count:])
    return f"{' '.join(marking.inner)}/{text}" if count else text


def _bracket(marking: Marking, prefix: str) -> str:
    words = [prefix, *marking.served_protection]
    if marking.served_group != marking.group:
        words.append(marking.served_group)
    if not marking.served_epl_derived:
        words.append(marking.served_epl)
    return f"[{' '.join(word for word in words if word)}]"


def _temperature(marking: Marking) -> str:
    names = marking.temperature_classes
    run = len(names) > _FEW and "".join(names) in "".join(IEC_CLASSES)
    classes = f"{names[-1]}...{names[0]}" if run else "/".join(reversed(names))
    if marking.surface_temperature is None:
        return classes
    degrees = f"{_number(marking.surface_temperature)} °C"
    if marking.dust_layer_depth is not None:
        return f"T{_number(marking.dust_layer_depth)} {degrees}"
    if marking.group.startswith("III"):
        return f"T{degrees}"
    return f"{degrees} ({classes})" if classes else degrees


def _ambient(marking: Marking) -> str:
    if marking.ambient_max is None:
        return ""
    if marking.ambient_min is None:
        return f"Ta <= {_number(marking.ambient_max)} °C"
    return f"Ta {_number(marking.ambient_min)} °C to {_number(marking.ambient_max)} °C"


def _directive(marking: Marking) -> str:
    if not marking.eu_group:
        return ""
    served = f"({marking.served_category})" if marking.served_category else ""
    words = [marking.eu_group]
    if marking.category and served and marking.atmosphere != marking.served_atmosphere:
        words += [marking.category, marking.atmosphere, served, marking.served_atmosphere]
    else:
        words += [marking.category + served, marking.atmosphere]
    return " ".join(word for word in words if word)


def _division(marking: Marking) -> str:
    prefix = "[Exia]" if marking.role == "associated" else marking.prefix
    parts = [f"{prefix} Class {', '.join(marking.na_class)}".strip()]
    if marking.na_division:
        parts.append(f"Division {marking.na_division}")
    if marking.na_groups:
        noun = "Groups" if len(marking.na_groups) > 1 else "Group"
        parts.append(f"{noun} {', '.join(marking.na_groups)}")
    words = [", ".join(parts), _temperature(marking), _ambient(marking)]
    return " ".join(word for word in words if word)


def show(marking: Marking) -> str:
    """Canonical text of one alternative, in the order of IEC 60079-0:2017 clause 29.

    What was derived is left out, so that reading the text gives the same facts again:
    ``read_marking(show(m)).alternatives == (m,)``. Source of the order: from memory.

    Examples
    --------
    >>> from subspark.marking import read_marking
    >>> show(read_marking("EX IA II C T4, II 2 G").alternatives[0])
    'II 2 G Ex ia IIC T4'
    """
    if marking.dialect == "NEC-div":
        return _division(marking)
    words = [_directive(marking)]
    if marking.na_zone:
        front = "Class I, " if marking.na_class else ""
        words.append(f"{front}Zone {marking.na_zone},")
    if marking.role == "associated":
        words += [_bracket(marking, marking.prefix), marking.group]
    else:
        words += [marking.prefix, _types(marking)]
        if marking.role == "both":
            words.append(_bracket(marking, ""))
        words += [marking.group, _temperature(marking)]
        if not marking.epl_derived:
            words.append("/".join(marking.epl))
    words.append(_ambient(marking))
    return " ".join(word for word in words if word)
