"""Lists of a plant as tables: what each column is, and its rows. One form for PDF and workbook."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from subspark.assess import Assessment
from subspark.assess.words import percent
from subspark.papers.dossier import conditions, open_points
from subspark.papers.texts import Words

__all__ = ["Brief", "Cell", "Column", "Maker", "Schedule", "briefs", "shortened", "table_of"]

Cell = str | float | int | None
"""A text, a number, or nothing."""

Sort = Literal["text", "tag", "number", "share", "verdict", "blank"]
_MOST_NAMES = 6
_MOST_LEANING = 24


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its key in the words, its width on paper [mm; 0 takes what is left], its sort."""

    key: str
    wide: float = 0.0
    sort: Sort = "text"


@dataclass(frozen=True, slots=True)
class Schedule:
    """One list of a plant, ready for paper and workbook."""

    key: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]


class Brief(NamedTuple):
    """What the lists need of one circuit: its finding without the working."""

    tag: str
    service: str
    verdict: str
    governing: str
    utilisation: float | None
    works: str
    place: str
    assumptions: tuple[str, ...]
    warnings: tuple[str, ...]
    open: tuple[tuple[str, str], ...]


def briefs(assessment: Assessment) -> list[Brief]:
    """Every circuit in brief, worked out once for all lists."""
    return [_brief(assessment, circuit.tag) for circuit in assessment.circuits]


def _brief(assessment: Assessment, tag: str) -> Brief:
    finding = assessment[tag]
    need = assessment.cases[assessment.governing_place(tag)].need
    return Brief(
        tag,
        finding.service,
        finding.verdict.word,
        finding.governing,
        finding.utilisation,
        finding.works.word,
        ", ".join(part for part in (need.zone, need.group) if part),
        tuple(dict.fromkeys((*finding.assumptions, *finding.works.assumptions))),
        finding.warnings,
        tuple((what, said) for what, said in open_points(assessment, finding)),
    )


def shortened(names: Iterable[str], words: Words, most: int = _MOST_NAMES) -> str:
    """Names in a row, the rest counted."""
    listed = list(dict.fromkeys(names))
    row = ", ".join(listed[:most])
    return words("columns.and_more", row, len(listed) - most) if len(listed) > most else row


def table_of(schedule: Schedule, words: Words) -> tuple[list[str], list[list[str]]]:
    """Headings and rows as texts, as paper shows them."""
    head = [words(f"columns.{one.key}") for one in schedule.columns]
    rows = [
        [_shown(cell, column) for cell, column in zip(row, schedule.columns, strict=True)]
        for row in schedule.rows
    ]
    return head, rows


def _shown(cell: Cell, column: Column) -> str:
    if cell is None:
        return ""
    if isinstance(cell, str):
        return cell
    return percent(cell) if column.sort == "share" else f"{cell:g}"


# --- circuits ------------------------------------------------------------------------------------

_REGISTER = (
    Column("tag", 20, "tag"),
    Column("service", 0),
    Column("area", 18, "tag"),
    Column("atmosphere", 27),
    Column("source", 32),
    Column("apparatus", 38),
    Column("verdict", 19, "verdict"),
    Column("governing", 23),
    Column("used", 13, "share"),
    Column("works", 20, "verdict"),
    Column("method", 13),
    Column("document", 22, "tag"),
    Column("revision", 9),
    Column("open", 11, "number"),
)


def register(assessment: Assessment, told: Sequence[Brief], words: Words) -> Schedule:
    """Every circuit on one line."""
    circuits = {circuit.tag: circuit for circuit in assessment.plant.circuits}
    rows = []
    for one in told:
        circuit = circuits[one.tag]
        rows.append(
            (
                circuit.tag,
                circuit.service,
                circuit.area,
                one.place,
                shortened((_used(use.tag, use.source) for use in circuit.sources), words),
                shortened((_used(item.tag, item.apparatus) for item in circuit.members), words, 4),
                one.verdict,
                one.governing,
                one.utilisation,
                one.works,
                circuit.method,
                circuit.document,
                circuit.revision,
                len(one.open) or None,
            )
        )
    return Schedule("register", _REGISTER, tuple(rows))


def _used(tag: str, kind: str) -> str:
    return f"{tag} ({kind})" if tag and tag != kind else kind


# --- certificates --------------------------------------------------------------------------------

_CERTIFICATES = (
    Column("certificate", 36, "tag"),
    Column("issue", 11),
    Column("status", 18),
    Column("types", 38),
    Column("count", 13, "number"),
    Column("condition", 0),
    Column("answer", 60),
    Column("evidence", 34),
)


def _users(assessment: Assessment) -> tuple[dict[str, list[str]], Counter[str]]:
    """Types under each certificate, and how many circuits use them."""
    plant = assessment.plant
    number_of = {one.name: one.certificate for one in plant.sources}
    number_of |= {one.name: one.certificate for one in plant.apparatus}
    types: dict[str, list[str]] = defaultdict(list)
    for name, number in number_of.items():
        types[number].append(name)
    counts: Counter[str] = Counter()
    for circuit in plant.circuits:
        used = {one.source for one in circuit.sources} | {one.apparatus for one in circuit.members}
        counts.update({number_of[name] for name in used if name in number_of})
    return types, counts


def certificates(assessment: Assessment, _: Sequence[Brief], words: Words) -> Schedule:
    """Every certificate with its special conditions and their answers."""
    types, counts = _users(assessment)
    rows: list[tuple[Cell, ...]] = []
    for one in assessment.plant.certificates:
        told = conditions(assessment, (one,), words) or [{"text": "", "answer": ""}]
        for nth, condition in enumerate(told):
            first = nth == 0
            rows.append(
                (
                    one.number,
                    one.issue if first else "",
                    one.status if first else "",
                    shortened(types.get(one.number, ()), words) if first else "",
                    counts[one.number] if first else None,
                    condition["text"],
                    condition["answer"],
                    str(one.evidence) if first else "",
                )
            )
    return Schedule("certificates", _CERTIFICATES, tuple(rows))


# --- assumptions and open points -----------------------------------------------------------------

_ASSUMPTIONS = (
    Column("assumption", 0),
    Column("count", 16, "number"),
    Column("circuits", 90, "tag"),
)


def assumptions(_: Assessment, told: Sequence[Brief], words: Words) -> Schedule:
    """Every assumption, with the circuits that lean on it."""
    of: dict[str, list[str]] = defaultdict(list)
    for one in told:
        for note in one.assumptions:
            of[note].append(one.tag)
    rows = tuple(
        (note, len(tags), shortened(tags, words, _MOST_LEANING)) for note, tags in of.items()
    )
    return Schedule("assumptions", _ASSUMPTIONS, rows)


_OPEN = (
    Column("tag", 22, "tag"),
    Column("service", 38),
    Column("verdict", 20, "verdict"),
    Column("rule", 34),
    Column("point", 0),
)


def open_list(_: Assessment, told: Sequence[Brief], words: Words) -> Schedule:
    """What is open, circuit by circuit; warnings stand behind the rules."""
    rows: list[tuple[Cell, ...]] = []
    for one in told:
        points = [*one.open, *((words("columns.warning"), note) for note in one.warnings)]
        rows += [(one.tag, one.service, one.verdict, what, said) for what, said in points]
    return Schedule("open", _OPEN, tuple(rows))


Maker = Callable[[Assessment, Sequence[Brief], Words], Schedule]
