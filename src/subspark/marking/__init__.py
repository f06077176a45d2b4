"""Ex markings: text to facts and back.

`read_marking` reads what stands on a plate or in a certificate into a `Label` of one or more
`Marking` alternatives; `show` writes one of them in canonical form. A text that is not a marking,
or a marking that contradicts itself, is refused with the offending part (`MarkingError`); it is
never read as something that it does not say.

Zones and Class and Division of North America are read too. Certificate numbers are not.
"""

from __future__ import annotations

from subspark.marking._showing import show
from subspark.marking.facts import Label, Marking

__all__ = ["Label", "Marking", "read_marking", "show"]


def read_marking(text: str) -> Label:
    """Read a label with one or more Ex markings.

    IEC 60079-0:2017 clause 29; 2014/34/EU Annex II 1.0.5; NEC 500.8 and 505.9. Source: from
    memory, and common practice where a docstring or note says so.

    Parameters
    ----------
    text : str
        As printed; dashes, blanks, degree signs, "≤" and decimal commas of any kind.

    Returns
    -------
    Label
        With every alternative in the order printed. Facts of alternatives are not to be joined.

    Raises
    ------
    MarkingError
        With ``start`` and ``end`` of the offending part in ``text``.

    Examples
    --------
    >>> [marking] = read_marking("II 2(1) G Ex db [ia Ga] IIC T4 Gb").alternatives
    >>> marking.role, marking.served_level, marking.served_group, marking.served_epl, marking.epl
    ('both', 'ia', 'IIC', 'Ga', ('Gb',))
    """
    from subspark.marking._reading import read

    return read(text)
