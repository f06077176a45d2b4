"""What one asks of a source before safety and function: price, stock, channels and the like."""

from __future__ import annotations

from typing import Final

__all__ = ["choosing_of"]

_SIGNALS: Final = {
    "AI": "analogue input",
    "AO": "analogue output",
    "DI": "digital input",
    "DO": "digital output",
    "T": "temperature",
    "FB": "fieldbus",
    "F": "frequency",
}
_SUPPLIES: Final = {"24": "24 V d.c.", "bus": "power rail", "-": "none", "5V": "5 V d.c."}
_STATUS: Final = {"c": "current", "p": "phase-out", "o": "obsolete"}
_YES_NO: Final = {"y": "yes", "n": "no"}

# name | price | stock | channels | SIL | line-fault detection | zone 2 | heat | supply | status
#      | approval | signal
_TABLE: Final = """
RW-1126         | 214 | 6 | 1 | 2 | y | n | 1.3 W | 24  | c | EU, UK     | AI
RW-1126 issue A | 190 | 0 | 1 |   | n | n | 1.6 W | 24  | o | EU         | AI
RW-1125         | 262 | 2 | 1 | 2 | y | y | 1.3 W | 24  | c | EU, UK     | AI
RW-1170         | 940 | 1 | 1 |   | y | n | 1.4 W | 24  | c | EU         | AI
RW-1128         | 198 | 4 | 1 | 3 | n | n | 1.1 W | 24  | c | EU, UK     | DO
RW-1136         | 236 | 3 | 1 | 2 | y | n | 1.2 W | 24  | c | EU, UK     | AO
RW-1107         | 172 | 9 | 2 | 2 | y | n | 0.9 W | 24  | c | EU, UK     | DI
RW-1110         | 288 | 4 | 1 | 2 | y | n | 1.0 W | 24  | c | EU, UK     | T
RW-1150         | 205 | 2 | 1 |   | y | n | 1.4 W | 24  | c | EU, UK     | DO
RW-1160         | 331 | 1 | 1 | 2 | n | n | 1.5 W | 24  | c | EU, UK     | F
AB-28           |  64 | 5 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | AI
AB-28R          |  92 | 4 | 1 | 3 | n | y | 0.4 W | -   | c | EU, UK     | AI
AB-09           |  88 | 3 | 1 | 3 | n | y | 0.1 W | -   | c | EU, UK     | T
AB-24C          |  58 | 1 | 1 |   | n | y | 0.3 W | -   | c | EU         | AI
LM-24C          | 226 | 1 | 1 | 2 | y | y | 1.5 W | 24  | c | EU         | AI
LM-22P          | 241 | 1 | 1 | 2 | y | n | 1.5 W | 24  | c | EU         | AI
LM-17T          | 187 | 2 | 1 | 2 | n | n | 1.0 W | 24  | c | EU         | DO
LM-15R          | 364 | 1 | 1 |   | y | n | 2.8 W | 24  | c | EU         | AI
LM-10H          | 342 | 1 | 1 |   | y | n | 2.2 W | 24  | c | EU         | AI
RW-2012         | 178 | 2 | 1 | 2 | y | n | 0.9 W | 24  | c | EU, UK     | AI
AB-12           |  61 | 4 | 1 | 3 | n | y | 0.2 W | -   | c | EU, UK     | AI
AB-26S          |  66 | 2 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | AI
AB-26D          |  66 | 2 | 1 | 3 | n | y | 0.2 W | -   | c | EU, UK     | AI
AB-10P          |  63 | 2 | 1 | 3 | n | y | 0.1 W | -   | c | EU, UK     | F
AB-20N          |  69 | 2 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | F
AB-24           |  62 | 3 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | AI
AB-22A          |  71 | 1 | 1 | 3 | n | y | 0.3 W | -   | p | EU         | F
LM-18Q          | 195 | 1 | 1 | 2 | n | n | 1.0 W | 24  | c | EU         | DO
LM-60F          | 412 | 1 | 1 |   | y | n | 2.6 W | 24  | c | EU         | FB
LM-61F          | 428 | 1 | 1 |   | y | n | 4.0 W | 24  | c | EU         | FB
LM-62F          | 398 | 0 | 1 |   | y | y | 4.2 W | 24  | c | EU         | FB
LM-70W          | 520 | 0 | 1 |   | y | n | 2.4 W | 24  | c | EU         | FB
RW-1226         | 318 | 2 | 2 | 2 | y | n | 2.3 W | 24  | c | EU, UK, US | AI
RW-0926         | 120 | 3 | 1 |   | n | n | 2.4 W | 24  | o | EU         | AI
TW-310          | 196 | 0 | 1 | 2 | y | n | 1.2 W | 24  | c | EU, UK, US | AI
TW-311          | 249 | 0 | 1 | 3 | y | n | 1.3 W | 24  | c | EU, UK, US | AI
TW-312          | 305 | 0 | 2 | 2 | y | n | 2.2 W | 24  | c | EU, UK, US | AI
BF-5041         | 221 | 0 | 1 | 2 | y | y | 1.1 W | bus | c | EU, UK     | AI
BF-5042         | 338 | 0 | 2 | 2 | y | y | 2.0 W | bus | c | EU, UK     | AI
BF-5049         | 257 | 0 | 1 | 2 | y | y | 1.1 W | bus | c | EU, UK     | AI
MP-21           | 168 | 0 | 1 |   | n | n | 1.6 W | 24  | c | EU         | AI
MP-22           | 262 | 0 | 2 |   | n | n | 2.9 W | 24  | p | EU         | AI
LM-23E          | 139 | 1 | 1 |   | n | n | 1.4 W | 24  | p | EU         | AI
LM-26Z          | 244 | 0 | 1 | 2 | y | y | 1.4 W | 24  | c | EU         | AI
CB-728          |  59 | 0 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK, US | AI
CB-728H         |  67 | 0 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK, US | AI
CB-788          |  86 | 0 | 1 | 3 | n | y | 0.4 W | -   | c | EU, UK, US | AI
CB-722          |  61 | 0 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK, US | DO
CB-709          |  79 | 0 | 1 | 3 | n | y | 0.1 W | -   | c | EU, UK, US | T
AB-28H          |  70 | 1 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | AI
AB-22           |  65 | 1 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | DO
TW-B28          |  57 | 0 | 1 | 3 | n | y | 0.3 W | -   | c | EU, UK     | AI
TW-B28R         |  84 | 0 | 1 | 3 | n | y | 0.4 W | -   | c | EU, UK     | AI
MP-Z28          |  44 | 0 | 1 |   | n | n | 0.3 W | -   | o | EU         | AI
RW-1207         | 189 | 3 | 2 | 2 | y | n | 0.8 W | 24  | c | EU, UK, US | DI
RW-0907         |  90 | 2 | 1 |   | n | n | 1.2 W | 24  | o | EU         | DI
TW-401          | 112 | 0 | 1 | 2 | y | n | 0.6 W | 24  | c | EU, UK, US | DI
TW-402          | 166 | 0 | 2 | 2 | y | n | 0.9 W | 24  | c | EU, UK, US | DI
BF-5011         | 124 | 0 | 1 | 2 | y | y | 0.5 W | bus | c | EU, UK     | DI
BF-5012         | 181 | 0 | 2 | 2 | y | y | 0.8 W | bus | c | EU, UK     | DI
MP-31           |  98 | 0 | 1 |   | n | n | 0.8 W | 24  | c | EU         | DI
RW-1228         | 223 | 1 | 1 | 3 | y | n | 1.2 W | 24  | c | EU, UK, US | DO
TW-501          | 176 | 0 | 1 | 2 | n | n | 1.0 W | 24  | c | EU, UK, US | DO
BF-5025         | 231 | 0 | 1 | 3 | y | y | 1.1 W | bus | c | EU, UK     | DO
MP-41           | 149 | 0 | 1 |   | n | n | 1.3 W | 24  | c | EU         | DO
TW-321          | 218 | 0 | 1 | 2 | y | n | 1.1 W | 24  | c | EU, UK, US | AO
BF-5045         | 243 | 0 | 1 | 2 | y | y | 1.0 W | bus | c | EU, UK     | AO
MP-25           | 177 | 0 | 1 |   | n | n | 1.4 W | 24  | c | EU         | AO
TW-610          | 271 | 0 | 1 | 2 | y | n | 0.9 W | 24  | c | EU, UK, US | T
BF-5074         | 296 | 0 | 1 | 2 | y | y | 0.9 W | bus | c | EU, UK     | T
MP-51           | 203 | 0 | 1 |   | n | n | 1.2 W | 24  | p | EU         | T
TW-511          | 199 | 0 | 1 |   | y | n | 1.4 W | 24  | c | EU, UK     | DO
MP-45           | 158 | 0 | 1 |   | n | n | 1.6 W | 24  | c | EU         | DO
BF-5031         | 348 | 0 | 1 | 2 | n | y | 1.4 W | bus | c | EU, UK     | F
TW-331          | 327 | 0 | 1 | 2 | n | n | 1.5 W | 24  | c | EU, UK, US | F
TW-90F          | 405 | 0 | 1 |   | y | n | 2.5 W | 24  | c | EU, UK     | FB
BF-93F          | 436 | 0 | 1 |   | y | y | 3.8 W | bus | c | EU, UK     | FB
"""


def _text(cells: list[str]) -> str:
    price, stock, channels, SIL, faults, zone_2, heat, supply, status, approval, signal = cells
    found = [
        f"price: {price}",
        f"stock: {stock}",
        f"channels: {channels}",
        f"SIL: {SIL}" if SIL else "",
        f"line-fault detection: {_YES_NO[faults]}",
        f"zone 2 mounting: {_YES_NO[zone_2]}",
        f"heat: {heat}",
        f"supply kind: {_SUPPLIES[supply]}",
        f"status: {_STATUS[status]}",
        f"approval: {approval}",
        f"signal: {_SIGNALS[signal]}",
    ]
    return "; ".join(one for one in found if one)


def choosing_of() -> dict[str, str]:
    """Return the figures for choosing by the name of the type, one text each."""
    rows = [[cell.strip() for cell in line.split("|")] for line in _TABLE.strip().splitlines()]
    return {name: _text(cells) for name, *cells in rows}
