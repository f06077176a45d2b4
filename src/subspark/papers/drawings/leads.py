"""Colours of the leads of thermocouples: IEC 60584-3, in North America ASTM E230; from memory."""

from __future__ import annotations

from typing import Final

from subspark.assess.context import Context
from subspark.assess.function.facts import Facts
from subspark.model import Circuit, Run

__all__ = ["core_colours", "lead_colours", "lead_letter", "leads_of"]

_IEC: Final = {
    "T": ("BN", "WH"),
    "K": ("GN", "WH"),
    "E": ("VT", "WH"),
    "J": ("BK", "WH"),
    "N": ("PK", "WH"),
    "R": ("OG", "WH"),
    "S": ("OG", "WH"),
    "B": ("GY", "WH"),
}
"""Positive and negative leg by IEC 60584-3, codes of IEC 60757; from memory."""

_ASTM: Final = {
    "T": ("BU", "RD"),
    "K": ("YE", "RD"),
    "E": ("VT", "RD"),
    "J": ("WH", "RD"),
    "N": ("OG", "RD"),
    "R": ("BK", "RD"),
    "S": ("BK", "RD"),
    "B": ("GY", "RD"),
}
"""Positive and negative leg of extension wires by ASTM E230; from memory."""


def lead_colours(pair: str, *, american: bool = False) -> tuple[str, str]:
    """Colours of the legs of a pair of alloys, positive first.

    Parameters
    ----------
    pair : str
        A letter of a thermocouple, or of its extension or compensating cable ("KX", "RCA").
    american : bool
        By ASTM E230 in place of IEC 60584-3. Both from memory.

    Returns
    -------
    tuple of str
        Codes of IEC 60757; blank for an unknown letter.

    >>> lead_colours("KX"), lead_colours("J", american=True)
    (('GN', 'WH'), ('WH', 'RD'))
    """
    return (_ASTM if american else _IEC).get(pair[:1], ("", ""))


def core_colours(run: Run, pair: int, context: Context) -> tuple[str, ...]:
    """Colours of the cores of a circuit in a run, as its cable type states them.

    Parameters
    ----------
    run : Run
        Where they lie.
    pair : int
        Number of the pair that the circuit has in the cable, from 1; 0 where it has none.
    context : Context
        Of the plant.

    Returns
    -------
    tuple of str
        Codes of IEC 60757, one for each core; empty where they are not stated.
    """
    cable = context.cables.get(run.cable)
    if cable is None or not cable.colours:
        return ()
    count = 2 if cable.cores is None else cable.cores
    if len(cable.colours) == count:
        return cable.colours
    first = count * (pair - 1)
    return cable.colours[first : first + count] if pair > 0 else ()


def lead_letter(circuit: Circuit, context: Context) -> str:
    """Type letter of the thermocouple of a circuit; blank where it has none, or several."""
    letters = set()
    for member in circuit.members:
        facts = Facts((context.items[member.apparatus].function,), part=member.connection)
        if facts.word("role") == "thermocouple":
            letters.add(facts.word("thermocouple type"))
    return letters.pop() if len(letters) == 1 else ""


def leads_of(circuit: Circuit, run: Run, context: Context) -> str:
    """Pair of alloys of a run to a thermocouple; blank where it is not known.

    Where nothing is stated a cable of the alloys of the thermocouple is taken, as function
    takes it; but not where its data sheet gives ohms, for it may be copper.
    """
    letter = lead_letter(circuit, context)
    if not letter:
        return ""
    said = Facts((circuit.function,), part=run.number).word("lead pair")
    cable = context.cables.get(run.cable)
    if said or cable is None or cable.R_loop_max.known or cable.R_core_max.known:
        return said
    return letter
