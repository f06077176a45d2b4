"""Inspection sheets: what is expected of a circuit, beside blanks for what is found.

The sheet decides nothing. Expected values come from the plant data and the finding.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from functools import cache
from typing import Any

from subspark.assess import Assessment
from subspark.assess.function.facts import Loop, loop_of
from subspark.assess.function.line import core_ohms, line_of
from subspark.assess.function.thermocouples import lead_ohms
from subspark.model import Circuit, Run
from subspark.papers.dossier import unbroken
from subspark.papers.forms import Field, fillable
from subspark.papers.packages import engine_version
from subspark.papers.parameters import parameters
from subspark.papers.printing import encoded, print_pdf
from subspark.papers.texts import Words, catalogue, words
from subspark.quantity import RESISTANCE, VOLTAGE, show

__all__ = ["fields_of", "inspection_sheet", "print_inspection"]

Plain = dict[str, Any]
Row = tuple[str, str]
_SIGNALS = ((0, 4), (25, 8), (50, 12), (75, 16), (100, 20))
_FINDINGS = 5
_LINES = 3
_OF_CURRENT = ("two-wire loop", "output loop")
_OF_STATES = (
    "switch circuit",
    "valve circuit",
    "lamp circuit",
    "sounder circuit",
    "beacon circuit",
)
_HIGH = 22e-3
"""Current at which the volts of a two-wire transmitter are measured [A]; common practice."""
_BY_CURRENT = ("two-wire loop", "multidrop loop")


@cache
def _texts(language: str) -> tuple[list[list[str]], Words]:
    table = catalogue(f"inspection-{language}")
    return table["inspection"]["items"], Words(language, table)


def _cables(assessment: Assessment, circuit: Circuit, say: Words) -> Iterator[Row]:
    loop = loop_of(circuit, assessment.context)
    for number, run in enumerate(circuit.runs, 1):
        name = run.number or say("text.run", number)
        if run.length.known:
            yield say("text.length", name), say("text.at_most", run.length)
        yield say("text.loop_ohms", name), _loop_ohms(run, loop, say)
        yield say("text.insulation", name), say("text.insulation_expected")
    if len(circuit.runs) > 1 and len(circuit.members) == 1 and not _pair_of(loop):
        ohms = line_of(loop).ohms.high
        expected = say("text.hottest", show(ohms, RESISTANCE, 4))
        if not math.isnan(ohms):
            yield say("text.all_ohms"), expected


def _pair_of(loop: Loop) -> str:
    """Letter of the thermocouple of a circuit; blank where it has none."""
    return next((one.facts.word("thermocouple type") for one in loop.of_role("thermocouple")), "")


def _loop_ohms(run: Run, loop: Loop, say: Words) -> str:
    kind = loop.context.cables.get(run.cable)
    ohms = math.nan
    if pair := _pair_of(loop):
        ohms = lead_ohms(run, loop, pair).high
    elif kind is not None:
        ohms = 2.0 * core_ohms(kind)[0] * run.length.si / (run.parallel or 1)
    if math.isnan(ohms):
        return say("text.not_known")
    return say("text.at_most", show(ohms, RESISTANCE, 3))


def _earths(assessment: Assessment, circuit: Circuit, say: Words) -> Iterator[Row]:
    kinds = [(use, assessment.context.sources[use.source]) for use in circuit.sources]
    if kinds and all(kind.isolation == "galvanic" for _, kind in kinds):
        yield say("text.isolation"), say("text.isolation_expected")
    for use, kind in kinds:
        if kind.isolation != "galvanic":
            yield say("text.earth", use.tag or use.source), say("text.earth_expected")
    case = assessment.cases[assessment.governing_place(circuit.tag)]
    for one in case.sources:
        for port, row in one.ports:
            if not math.isnan(row.behind):
                name = f"{one.label}, port {port.name}"
                expected = say("text.at_most", show(row.behind, VOLTAGE))
                yield say("text.voltage_behind", name), expected


def _function(assessment: Assessment, tag: str, say: Words) -> Iterator[Row]:
    """What function expects: volts at each device; of a two-wire transmitter at 22 mA."""
    for kind, told in assessment.function.staircases(tag, _HIGH):
        if told.unit != "V" or math.isnan(told.left):
            continue
        if kind not in _BY_CURRENT and (governing := assessment[tag].works.staircase) is not None:
            if told.title != governing.title:
                continue
            told = governing  # noqa: PLW2901 - the one at the current that decides
        where = say("text.stairs", told.title, told.at) if told.at else told.title
        left = show(told.left, VOLTAGE, 4)
        if math.isnan(told.needed):
            yield where, say("text.volts_left", left)
        else:
            yield where, say("text.volts", left, show(told.needed, VOLTAGE, 4))
    yield say("text.line_fault"), say("text.line_fault_expected")


def _signals(kind: str, say: Words) -> list[list[str]]:
    """What the loop check goes through: currents, states, or lines to be filled in."""
    if kind in _OF_CURRENT:
        return [[f"{share} %", f"{current} mA"] for share, current in _SIGNALS]
    if kind in _OF_STATES:
        return [[say(f"text.{state}"), ""] for state in ("on", "off")]
    return [["", ""] for _ in range(_LINES)]


def _identity(assessment: Assessment, circuit: Circuit, language: str) -> list[list[str]]:
    case = assessment.cases[assessment.governing_place(circuit.tag)]
    told = parameters(assessment, case, words(language))
    rows = []
    for sort in ("sources", "apparatus"):
        rows += [[one["part"], "; ".join(one["lines"]), ""] for one in told[sort]["rows"]]
    rows += [
        [one["part"], f"{one['kind']}, {one['length']}, {one['from']} – {one['to']}", ""]
        for one in told["runs"]["rows"]
    ]
    return rows


def inspection_sheet(
    assessment: Assessment, tag: str, *, paper: str = "a4", language: str = "en"
) -> Plain:
    """The inspection sheet of one circuit, as plain data for its template.

    Parameters
    ----------
    assessment : Assessment
        In which the circuit was judged.
    tag : str
        The circuit.
    paper : str
        "a4" or "letter".
    language : str
        Of the fixed texts.

    Returns
    -------
    dict
        Plain data, texts only.
    """
    items, say = _texts(language)
    common = words(language)
    finding, circuit = assessment[tag], assessment.plant.circuit(tag)
    need = assessment.cases[assessment.governing_place(tag)].need
    measured = [
        *_cables(assessment, circuit, say),
        *_earths(assessment, circuit, say),
        *_function(assessment, tag, say),
    ]
    return {
        "paper": paper,
        "language": language,
        "head": {
            "plant": assessment.plant.name,
            "kind": say("text.kind"),
            "tag": circuit.tag,
            "service": circuit.service,
            "number": circuit.document or common("sheet.no_number"),
            "revision": circuit.revision or common("sheet.no_revision"),
            "mark": "",
        },
        "by": f"subspark {engine_version()} · {assessment.context.code.title}",
        "verdict": {"word": finding.verdict.word, "sentence": finding.sentence},
        "place": ", ".join(part for part in (circuit.area, need.zone, need.group) if part),
        "identity": _identity(assessment, circuit, language),
        "measured": [list(row) for row in dict.fromkeys(measured)],
        "items": items,
        "findings": _FINDINGS,
        "works": {"word": finding.works.word, "sentence": finding.works.sentence},
        "signals": _signals(finding.works.kind, say),
        "words": {"sheet": common.section("sheet"), "text": say.section("text")},
    }


_MEASURED = ("found", "instrument", "calibrated")
_OF_FINDING = ("finding", "class", "action", "due", "done")
_OF_SIGNAL = {"signal": "percent", "current": "current", "up": "up", "down": "down",
              "error": "error"}  # fmt: skip
_OF_LOOP = {"instrument": "instrument", "calibrated": "calibrated"}


def _blanks(sheet: Plain) -> Iterator[tuple[str, str, str, str]]:
    """Every blank: the key of the template, its item and column for its name, and its words."""
    say = sheet["words"]["text"]
    for number, box in enumerate(say["boxes"], 1):
        yield f"inspection/{number}", "inspection", box, f"{say['who']}: {box}"
    for number, row in enumerate(say["who_rows"], 1):
        yield f"who/{number}", "inspection", row, f"{say['who']}: {row}"
    for number, (part, *_) in enumerate(sheet["identity"], 1):
        yield f"identity/{number}/found", part, "found", f"{part}: {say['found']}"
    for number, (what, _) in enumerate(sheet["measured"], 1):
        for column in _MEASURED:
            yield f"measured/{number}/{column}", what, column, f"{what}: {say[column]}"
    for number, _, item, _ in sheet["items"]:
        yield f"item/{number}/result", number, "result", f"{number}, {item}: {say['result']}"
    for number in range(1, sheet["findings"] + 1):
        item = f"finding {number}"
        for column in _OF_FINDING:
            yield (f"finding/{number}/{column}", item, column,
                   f"{say['finding']} {number}: {say[column]}")  # fmt: skip
    yield from _blanks_of_loop(sheet)


def _blanks_of_loop(sheet: Plain) -> Iterator[tuple[str, str, str, str]]:
    """Every blank of the loop check."""
    say = sheet["words"]["text"]
    who = say["who_rows"]
    for number, signal in enumerate(sheet["signals"], 1):
        item = f"loop check {signal[0] or number}"
        for column, word in _OF_SIGNAL.items():
            told = f"{say['loop']}, {signal[0] or number}: {say[word]}"
            yield f"loop/{number}/{column}", item, column, told
    for column, word in _OF_LOOP.items():
        yield f"loop/{column}", "loop check", column, f"{say['loop']}: {say[word]}"
    for column, word in (("inspector", who[0]), ("date", who[3])):
        yield f"loop/{column}", "loop check", column, f"{say['loop']}: {word}"


def fields_of(sheet: Plain) -> dict[str, Field]:
    """Every blank of an inspection sheet as a field, by the key that its template knows.

    A field is named by circuit, item and column: ``PT-1001/A1/result``. A full stop parts levels
    of names in a PDF file and is a middle dot here; what would be named twice bears a number.
    """
    tag = sheet["head"]["tag"]
    names: Counter[str] = Counter()
    found: dict[str, Field] = {}
    for key, item, column, tip in _blanks(sheet):
        name = f"{tag}/{item}/{column}".replace(".", "\u00b7")
        names[name] += 1
        again = f" ({names[name]})" if names[name] > 1 else ""
        found[key] = Field(f"{name}{again}", tip)
    return found


def print_inspection(sheet: Plain) -> bytes:
    """Typeset an inspection sheet, its blanks as fields of a form.

    Parameters
    ----------
    sheet : dict
        As :func:`inspection_sheet` gives it.

    Returns
    -------
    bytes
        A PDF/A-3b file that can be printed, or filled in on a screen.
    """
    made = print_pdf("inspection", {"sheet": encoded(unbroken(sheet)), "by": sheet["by"]})
    return fillable(made, fields_of(sheet))
