"""Rows of numbers between the model and the columns: one case, its members by kind.

Each named tuple holds floats only, in the order in which columns are made of them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from subspark.assess.places import Need
from subspark.model import (
    ApparatusType,
    Entry,
    Mark,
    Member,
    Output,
    Port,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
)
from subspark.rules.codes.fieldbus import Figures

__all__ = [
    "ApparatusRow",
    "Case",
    "HeadRow",
    "MemberCase",
    "PortRow",
    "RunRow",
    "Segment",
    "SegmentMemberRow",
    "SegmentRow",
    "SegmentRunRow",
    "SegmentSourceRow",
    "SourceCase",
    "SourceRow",
]


class HeadRow(NamedTuple):
    """What belongs to the case as a whole."""

    series: float
    combined: float
    by_document: float
    spark: float
    factor: float
    level_asked: float
    group_asked: float
    T_limit: float
    T_small: float
    T_tiny: float
    by_power: float
    dust_power: float
    earthed: float
    earth_limit: float
    earth_ohm: float
    earth_wires: float
    earth_section: float
    separation: float
    atmosphere: float
    shared_demand: float
    shared_limit: float
    surge_inside: float
    surge_distance: float
    surge_section: float
    surge_discharge: float
    box_T: float
    box_limit: float
    generating_U: float
    generating_I: float
    generating_P: float


class SourceRow(NamedTuple):
    """One source of the case, with the column of its certificate that serves."""

    U: float
    I: float  # noqa: E741 - the symbol of current
    P: float
    Co: float
    Lo: float
    Lo_Ro: float
    Co_declared: float
    Lo_declared: float
    Ci: float
    Li: float
    linear: float
    together: float
    paired: float
    level: float
    half_cap: float
    group: float
    epl_asked: float
    epl: float
    body_asked: float
    body: float
    T_limit: float
    T: float
    hot: float
    cold: float
    Ta_max: float
    Ta_min: float
    conditions: float


class ApparatusRow(NamedTuple):
    """One apparatus under one alternative of its marking."""

    Ui: float
    Ii: float
    Pi: float
    Ci: float
    Li: float
    level_a: float
    group_a: float
    here: float
    epl_asked: float
    epl: float
    hot: float
    cold: float
    Ta_max: float
    Ta_min: float
    is_simple: float
    T_fixed: float
    Rth: float
    surface: float
    hottest: float
    assessed: float
    conditions: float
    energy: float


class RunRow(NamedTuple):
    """One run of cable."""

    length: float
    C: float
    L: float
    LR: float
    LR_assumed: float
    LR_default: float
    strand: float
    tested: float
    rated_T: float
    route_T: float


class PortRow(NamedTuple):
    """One safe-side port."""

    behind: float
    Um: float


class SegmentRow(NamedTuple):
    """What belongs to a fieldbus segment as a whole; see :class:`subspark.rules.Segments`."""

    confirmed: float
    active: float
    terminators: float
    stations: float
    is_IIC: float


class SegmentSourceRow(NamedTuple):
    """One source of a segment."""

    own_output: float
    output_C: float
    output_L: float


class SegmentMemberRow(NamedTuple):
    """One apparatus of a segment."""

    own_set: float
    leak: float
    is_terminator: float
    end_R: float
    end_C: float


class SegmentRunRow(NamedTuple):
    """One run of a segment."""

    least_spur: float
    most_spur: float
    low_C: float
    high_C: float
    low_L: float
    high_L: float
    low_R: float
    high_R: float


@dataclass(frozen=True, slots=True)
class Segment:
    """What a case has besides where it is a fieldbus segment, member by member."""

    figures: Figures
    head: SegmentRow
    sources: tuple[SegmentSourceRow, ...]
    members: tuple[SegmentMemberRow, ...]
    runs: tuple[SegmentRunRow, ...]


@dataclass(frozen=True, slots=True)
class SourceCase:
    """A source in a case: the row, and the way back to what it was made of."""

    use: SourceUse
    kind: SourceType
    output: Output
    mark: Mark
    column: str
    row: SourceRow
    ports: tuple[tuple[Port, PortRow], ...]
    pairs: tuple[tuple[float, float], ...]
    warnings: tuple[str, ...] = ()
    system: bool = False

    @property
    def label(self) -> str:
        """Tag or name for people."""
        return self.use.tag or self.kind.name


@dataclass(frozen=True, slots=True)
class MemberCase:
    """An apparatus in a case: the row, its temperature rows, and the way back."""

    member: Member
    item: ApparatusType | SimpleType
    entry: Entry | None
    mark: Mark | None
    option: int
    row: ApparatusRow
    temperatures: tuple[tuple[float, float, float, float], ...]

    @property
    def simple(self) -> bool:
        """Whether it is simple apparatus."""
        return self.entry is None

    @property
    def label(self) -> str:
        """Tag or name for people."""
        return self.member.tag or self.member.apparatus


@dataclass(frozen=True, slots=True)
class Case:
    """One row of the columns: a circuit in one atmosphere, by one combination."""

    circuit: int
    atmosphere: int
    option: int
    aside: bool
    name: str
    need: Need
    head: HeadRow
    sources: tuple[SourceCase, ...]
    members: tuple[MemberCase, ...]
    runs: tuple[tuple[Run, RunRow], ...]
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    segment: Segment | None = None
