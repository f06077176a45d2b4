"""What a marking says: one alternative, and the label that holds one or more of them."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["Label", "Marking"]


@dataclass(frozen=True, slots=True)
class Marking:
    """One alternative of a label: level, group, temperature and EPL that belong together.

    Two markings are equal when they state the same facts; ``text`` and ``notes`` are the evidence
    beside the facts and do not count. IEC 60079-0:2017 clause 29; 2014/34/EU Annex II 1.0.5.
    Source: from memory.

    A fact that the marking does not state is ``""``, ``()`` or ``None``; it is never filled from
    another alternative of the same label.

    Parameters
    ----------
    dialect : str
        "IEC"; "CENELEC" (EEx); "EU" (with a directive part, whatever the prefix); "NEC-zone"
        (AEx, or a zone in front) and "NEC-div" (Class and Division).
    role : str
        "apparatus" (no bracket), "associated" (only a bracket: for a safe place) or "both".
    prefix : str
        "Ex", "EEx", "AEx"; for Class and Division "", "IS", "NI", "NIFW" or "Exia".
    protection : tuple of str
        Types of protection outside the brackets, in the order printed, old glued forms taken
        apart ("de" gives "d", "e").
    inner : tuple of str
        The leading types of ``protection`` that stand before a slash: those of the more onerous
        side of a boundary wall ("ia/db").
    level : str
        Level of protection "ia", "ib" or "ic" of the apparatus itself; "" where it has none.
        The weakest where several are printed.
    group : str
        Group printed for the apparatus itself, or outside the bracket of associated apparatus.
    served_protection : tuple of str
        Types of protection inside the bracket.
    served_level, served_group, served_epl : str
        What the bracket says about the circuits that may be served; "" where there is none.
    served_epl_derived : bool
        The served EPL is not printed and was derived.
    temperature_classes : tuple of str
        Hottest first; a printed range is written out. Without the certificate's table only the
        first one counts.
    surface_temperature : float or None
        Highest surface temperature printed [degC]; of a range, the hottest.
    dust_layer_depth : float or None
        Depth of dust layer for which the surface temperature stands [mm].
    epl : tuple of str
        Equipment protection level of the apparatus itself; two for a boundary wall.
    epl_derived : bool
        The EPL is not printed and was derived from the types of protection, or from a lower
        category.
    ambient_min, ambient_max : float or None
        Ambient temperature marked [degC]; None where not marked.
    eu_group, category, served_category : str
        Directive part: "I" or "II"; "1", "2", "3", "1/2", "M1" ...; the category in brackets.
    atmosphere, served_atmosphere : str
        "G", "D", "GD" or "" as printed. Where only a bracketed category is printed both are equal.
    na_class, na_groups : tuple of str
        Class ("I", "II", "III") and Groups ("A" to "G") of North America.
    na_division, na_zone : str
        Division ("1", "2") and zone ("0", "1", "2", "20", "21", "22").
    notes : tuple of str
        What a person should know about this reading.
    text : str
        The part of the label that was read, as printed.
    """

    dialect: str
    role: str
    prefix: str
    protection: tuple[str, ...] = ()
    inner: tuple[str, ...] = ()
    level: str = ""
    group: str = ""
    served_protection: tuple[str, ...] = ()
    served_level: str = ""
    served_group: str = ""
    served_epl: str = ""
    served_epl_derived: bool = False
    temperature_classes: tuple[str, ...] = ()
    surface_temperature: float | None = None
    dust_layer_depth: float | None = None
    epl: tuple[str, ...] = ()
    epl_derived: bool = False
    ambient_min: float | None = None
    ambient_max: float | None = None
    eu_group: str = ""
    category: str = ""
    served_category: str = ""
    atmosphere: str = ""
    served_atmosphere: str = ""
    na_class: tuple[str, ...] = ()
    na_division: str = ""
    na_zone: str = ""
    na_groups: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default=(), compare=False)
    text: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Label:
    """A label as read: its alternatives, and the tags that stand beside the marking.

    One alternative has to pass every check; facts of different alternatives are never joined.

    Parameters
    ----------
    text : str
        The label as given.
    alternatives : tuple of Marking
        At least one, in the order printed.
    tags : tuple of str
        "CE 0123", "FISCO field device", "IP67" and the like, blanks normalised.
    notes : tuple of str
        What a person should know about the label as a whole.
    """

    text: str
    alternatives: tuple[Marking, ...]
    tags: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
