"""Cable types of the demo plant."""

from __future__ import annotations

from typing import Final, Literal, NamedTuple

from subspark.demo.sheets import Sheet
from subspark.model import CableType, Datum
from subspark.quantity import (
    Area,
    CapacitancePerLength,
    Evidence,
    InductancePerLength,
    InductancePerResistance,
    Length,
    ResistancePerLength,
    Temperature,
    Voltage,
)

__all__ = ["CABLES", "LOST", "OLD_FOUR", "OLD_SIX", "TRUNK_A", "TRUNK_B", "TRUNK_B_THIN"]

TRUNK_A: Final = "MA 8x2x0.75"
TRUNK_B: Final = "MB 12x2x0.75"
TRUNK_B_THIN: Final = "MB 24x2x0.5"
OLD_SIX: Final = "MO 6x2x0.5"
OLD_FOUR: Final = "MO 4x2x0.75"
LOST: Final = "two-core, data sheet lost"


class _Row(NamedTuple):
    name: str
    C: str = ""
    L: str = ""
    R_core: str = ""
    C_core: str = ""
    C_screen: str = ""
    R_loop: str = ""
    L_R: str = ""
    section: str = ""
    conductor: Literal["stranded", "flexible", ""] = ""
    R_core_max: str = ""
    R_loop_max: str = ""
    cores: int = 2
    screen: Literal["none", "overall", "individual"] = "none"


_ROWS: Final = (
    _Row(
        "FC 2x1.5",
        "95 pF/m",
        "0.70 µH/m",
        R_loop="23.4 ohm/km",
        section="1.5 mm2",
        conductor="flexible",
    ),
    _Row(
        "FC 2x0.75 screened",
        L="0.68 µH/m",
        R_core="23.2 ohm/km",
        C_core="80 pF/m",
        C_screen="130 pF/m",
        section="0.75 mm2",
        conductor="flexible",
        screen="overall",
    ),
    _Row(
        "FC 3x1.0 screened",
        "140 pF/m",
        "0.72 µH/m",
        "17.2 ohm/km",
        section="1 mm2",
        conductor="flexible",
        cores=3,
        screen="overall",
    ),
    _Row(
        "FC 4x0.75 screened",
        "180 pF/m",
        "0.75 µH/m",
        "23.2 ohm/km",
        section="0.75 mm2",
        conductor="flexible",
        cores=4,
        screen="overall",
    ),
    _Row(
        "FC 2x2.5 armoured",
        "115 nF/km",
        "0.62 mH/km",
        L_R="45 µH/ohm",
        section="2.5 mm2",
        conductor="stranded",
    ),
    _Row(
        "KX 2x0.5 compensating",
        "105 pF/m",
        "0.90 µH/m",
        R_loop="1.9 ohm/m",
        R_loop_max="2.2 ohm/m",
    ),
    _Row(
        "VX 3x0.35 probe",
        "150 pF/m",
        "0.80 µH/m",
        "49 ohm/km",
        R_core_max="57 ohm/km",
        cores=3,
        screen="overall",
    ),
    _Row(LOST),
)
_MULTICORES: Final = (
    (
        _Row(
            TRUNK_A,
            "110 pF/m",
            "0.75 µH/m",
            "23.2 ohm/km",
            section="0.75 mm2",
            conductor="stranded",
            screen="individual",
        ),
        8,
        "A",
    ),
    (
        _Row(
            TRUNK_B,
            "100 pF/m",
            "0.72 µH/m",
            "23.2 ohm/km",
            section="0.75 mm2",
            conductor="stranded",
            screen="overall",
        ),
        12,
        "B",
    ),
    (
        _Row(
            TRUNK_B_THIN,
            "85 pF/m",
            "0.74 µH/m",
            "34.0 ohm/km",
            section="0.5 mm2",
            conductor="flexible",
            screen="overall",
        ),
        24,
        "B",
    ),
    (
        _Row(
            OLD_SIX,
            "95 pF/m",
            "0.76 µH/m",
            "34.0 ohm/km",
            R_core_max="39 ohm/km",
            screen="overall",
        ),
        6,
        "other",
    ),
    (
        _Row(
            OLD_FOUR,
            "105 pF/m",
            "0.73 µH/m",
            "23.2 ohm/km",
            R_core_max="26 ohm/km",
            screen="overall",
        ),
        4,
        "other",
    ),
)
_PRICES: Final = {
    "FC 2x1.5": "2.1",
    "FC 2x0.75 screened": "1.9",
    "FC 3x1.0 screened": "2.6",
    "FC 4x0.75 screened": "2.9",
    "FC 2x2.5 armoured": "5.4",
    "KX 2x0.5 compensating": "3.8",
    "VX 3x0.35 probe": "4.5",
    TRUNK_A: "11.5",
    TRUNK_B: "13.2",
    TRUNK_B_THIN: "19.8",
}
"""Prices of a metre; the old trunks and the unknown one are no longer sold."""
_COLOURS: Final[dict[str, tuple[str, ...]]] = {
    "FC 2x1.5": ("BK", "WH"),
    "FC 2x0.75 screened": ("WH", "BN"),
    "FC 3x1.0 screened": ("WH", "BN", "GN"),
    TRUNK_A: ("BK", "WH"),
    TRUNK_B: ("BK", "WH"),
}
"""Colours of the cores of a circuit; the other types have numbers on them."""
_COVERAGE: Final = 85.0
_MULTICORE: Final[dict[str, Literal["A", "B", "other"]]] = {"A": "A", "B": "B", "other": "other"}


def _sold(name: str) -> tuple[Datum, ...]:
    price = _PRICES.get(name)
    if price is None:
        return (Datum(what="status", value="obsolete"),)
    return (Datum(what="price", value=price), Datum(what="status", value="current"))


def _cable(number: int, row: _Row, pairs: int | None = None, sort: str = "") -> CableType:
    sheet = Sheet(f"Cable data sheet CD-{number:02d}")
    here = sheet.at(1)

    def printed(text: str) -> Evidence:
        return here if text else Evidence()

    known = row.name != LOST
    return CableType(
        name=row.name,
        C=CapacitancePerLength(row.C, printed(row.C)),
        C_core=CapacitancePerLength(row.C_core, printed(row.C_core)),
        C_screen=CapacitancePerLength(row.C_screen, printed(row.C_screen)),
        L=InductancePerLength(row.L, printed(row.L)),
        L_R=InductancePerResistance(row.L_R, printed(row.L_R)),
        R_loop=ResistancePerLength(row.R_loop, printed(row.R_loop)),
        R_core=ResistancePerLength(row.R_core, printed(row.R_core)),
        R_core_max=ResistancePerLength(row.R_core_max, printed(row.R_core_max)),
        R_loop_max=ResistancePerLength(row.R_loop_max, printed(row.R_loop_max)),
        section=Area(row.section, printed(row.section)),
        conductor=row.conductor,
        tinned="no" if row.section else "",
        cores=row.cores,
        pairs=pairs,
        colours=_COLOURS.get(row.name, ()),
        screen=row.screen,
        coverage=_COVERAGE if row.screen != "none" and known else None,
        strand=Length("0.2 mm", sheet.at(2)) if known else Length(),
        test_voltage=Voltage("1.5 kV", sheet.at(2)) if known else Voltage(),
        insulation=Length("0.4 mm", sheet.at(2)) if known else Length(),
        rated_temperature=Temperature("80 °C", sheet.at(2)) if known else Temperature(),
        multicore=_MULTICORE.get(sort, ""),
        fixed_and_protected="yes" if sort == "B" else "",
        function=_sold(row.name),
        evidence=here if known else Evidence(note="only the number of cores is known"),
    )


CABLES: Final = (
    *(_cable(number, row) for number, row in enumerate(_ROWS, 1)),
    *(
        _cable(number, row, pairs, sort)
        for number, (row, pairs, sort) in enumerate(_MULTICORES, len(_ROWS) + 1)
    ),
)
