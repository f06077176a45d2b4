"""What each atmosphere of an area asks, as numbers and ranks."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

from subspark.assess.readings import LEVELS, SPARK, read_surface
from subspark.errors import UsageError
from subspark.model import Area, Atmosphere
from subspark.model.substances import Substance, find_substance
from subspark.rules import Code
from subspark.rules.codes import Group

__all__ = ["Need", "needs_of"]

NAN = math.nan
_RANK_OF = {"a": 3.0, "b": 2.0, "c": 1.0}
_FAMILY_OF = {"G": "II", "D": "III", "M": "I"}


@dataclass(frozen=True, slots=True)
class Need:
    """What one atmosphere asks; ``name`` tells it from the others of the area.

    ``rank`` is the level and EPL asked (ia and a: 3). ``spark`` is the group whose ignition
    figures serve; ``columns`` the certificate columns that serve, most generous first.
    ``in_dust`` asks for the power that may be dissipated in dust of uncontrolled depth.
    """

    area: str
    name: str
    zone: str
    family: str
    group: str
    rank: float
    group_rank: float
    spark: int
    columns: tuple[str, ...]
    T_limit: float
    T_small: float
    T_tiny: float
    by_power: bool
    code: Code = field(repr=False)
    in_dust: bool = False
    assumptions: tuple[str, ...] = ()

    @property
    def T_of_bodies(self) -> float:
        """Highest surface temperature of boxes and bodies of sources [degC].

        Not known in dust of uncontrolled depth, where the power of the circuit says nothing of
        what else such a body dissipates.
        """
        return NAN if self.in_dust else self.T_limit


class _Found(NamedTuple):
    group: str
    limit: float
    notes: tuple[str, ...]


def _from_substances(one: Atmosphere, code: Code) -> _Found:
    """Severest group and lowest temperature limit over the substances; unknown stays so."""
    group, limit, notes = "", math.inf, []
    for name in one.substances:
        try:
            found = find_substance(name)
        except UsageError:
            return _Found("", NAN, (f"substance {name!r} is not in the list",))
        rank = code.groups[found.group].rank if found.group in code.groups else -1
        if rank < 0:
            return _Found("", NAN, (f"group of {found.name} is not known",))
        if not group or rank > code.groups[group].rank:
            group = found.group
        limit = _lower(limit, _class_limit(found, code))
        notes.append(
            f"{found.name}: group {found.group} (list from memory, confidence "
            f"{found.group_confidence}), autoignition {found.autoignition_C:g} °C"
        )
    return _Found(group, limit, tuple(notes))


def _class_limit(found: Substance, code: Code) -> float:
    """Limit of the first class below the autoignition temperature; NaN where none is."""
    classes = (code.t_class(f"T{number}") for number in range(1, 7))
    fitting = [limit for limit in classes if limit < found.autoignition_C]
    return max(fitting, default=NAN)


def _lower(one: float, other: float) -> float:
    """The lower of two limits; unknown where either is."""
    return NAN if math.isnan(one) or math.isnan(other) else min(one, other)


def _gas_limit(one: Atmosphere, code: Code) -> float:
    """Limit of the class that the area asks; of a range it is not known which one."""
    mark = read_surface(one.temperature)
    if mark.is_range:
        return NAN
    return code.t_class(mark.t_class) if mark.t_class else mark.celsius


def _stated(one: Atmosphere) -> list[float]:
    """Highest surface temperature as stated, in degrees; a class is none for dust and mines."""
    if not one.temperature:
        return []
    mark = read_surface(one.temperature)
    return [NAN if mark.is_range else mark.celsius]


def _lowest(given: list[float]) -> float:
    return NAN if not given or any(math.isnan(value) for value in given) else min(given)


def _dust_limit(one: Atmosphere, code: Code) -> float:
    """Lowest of what is stated: highest surface, 2/3 of cloud ignition, layer less 75 K.

    A layer above 5 mm has no formula: it counts by what a test at its depth permits. Under an
    uncontrolled one the power counts, and the temperature towards the cloud where it is known.
    """
    given = _stated(one)
    cloud, layer = one.cloud_ignition.si, one.layer_ignition.si
    of_cloud = cloud * 2.0 / 3.0  # "dust cloud share", without the rounding of a third
    if one.layer == "uncontrolled":
        if one.cloud_ignition.known:
            given.append(of_cloud)
        return _lowest(given) if given else math.inf
    if one.layer_depth.si > code.number("dust layer depth") * (1.0 + 1e-12):
        if one.cloud_ignition.known or not given:
            given.append(of_cloud)
        return _lowest([*given, one.layer_limit.si])
    if one.layer_limit.known:
        given.append(one.layer_limit.si)
    if not (math.isnan(cloud) and math.isnan(layer)):
        given += [of_cloud, layer - code.number("dust layer margin")]
    return _lowest(given)


def _mine_limit(one: Atmosphere, code: Code) -> float:
    """Lowest of what is stated: highest surface, and what coal dust in layers, or none, allows."""
    given = _stated(one)
    if one.coal_dust:
        dusty = one.coal_dust == "yes"
        given.append(code.number("mine temperature" + ("" if dusty else " without dust")))
    return _lowest(given)


_LIMITS = {"III": _dust_limit, "I": _mine_limit}


def _consistent(one: Atmosphere, group: Group, code: Code) -> bool:
    """Whether group, zone and North American class belong together."""
    zone = code.zones.get(one.zone)
    if one.hazard_class and code.hazard_classes.get(one.hazard_class) != group.family:
        return False
    return zone is None or one.zone.startswith("Division") or zone.family == group.family


def _rank(one: Atmosphere, family: str, code: Code) -> float:
    zone = code.zones.get(one.zone)
    usual = NAN if zone is None else float(zone.rank)
    if not one.epl:
        return NAN if zone is not None and one.zone == "mine" else usual
    if _FAMILY_OF[one.epl[0]] != family:
        return NAN
    stated = _RANK_OF[one.epl[1]]
    lower_is_shown = bool(one.epl_evidence.document and one.epl_evidence.by)
    if math.isnan(usual) or zone is None or one.zone == "mine":
        return stated
    return stated if lower_is_shown else max(stated, usual)


def _need(area: str, one: Atmosphere, code: Code) -> Need:
    found = _from_substances(one, code) if one.substances else _Found(one.group, math.inf, ())
    fibres = one.hazard_class == "III" and "III" in code.hazard_classes
    name = one.group or found.group or ("IIIA" if fibres else "")
    if one.group and one.substances and found.group in code.groups and one.group in code.groups:
        name = max(one.group, found.group, key=lambda group: code.groups[group].rank)
    if one.substances and not found.group:
        name = ""
    stated = code.groups.get(one.group)
    if one.substances and stated is not None and stated.family != "II":
        name = ""  # a gas named in an atmosphere of dust: two atmospheres, or a slip
    group = code.groups.get(name)
    family = group.family if group else ""
    rank, notes = _rank(one, family, code), found.notes
    if group is None or not _consistent(one, group, code):
        rank = NAN
    elif rank < group.least:
        rank = float(group.least)
        notes += (f"group {name}: {code.name} knows no Division 2 for it, Division 1 is asked",)
    limit = _LIMITS.get(family, _gas_limit)(one, code)
    if family == "II" and one.substances:
        limit = found.limit if not one.temperature else _lower(limit, found.limit)
    t4, t5 = code.t_class("T4"), code.t_class("T5")
    small = tiny = NAN
    if family == "II" and limit >= t4:
        small, tiny = code.number("small surface T4"), code.number("tiny surface T4")
    elif family == "II" and limit == t5:
        small = tiny = code.number("small surface T5")
    label = " ".join(part for part in (_zone_words(one), name, one.temperature) if part)
    return Need(
        area=area,
        name=label or "unknown atmosphere",
        zone=_zone_words(one),
        family=family,
        group=name,
        rank=rank,
        group_rank=float(group.rank) if group and group.rank else NAN,
        spark=SPARK[group.spark] if group else -1,
        columns=group.columns if group else (),
        T_limit=limit,
        T_small=small,
        T_tiny=tiny,
        by_power=family == "II",
        code=code,
        in_dust=family == "III" and one.layer == "uncontrolled",
        assumptions=notes,
    )


def _zone_words(one: Atmosphere) -> str:
    if one.zone.startswith("Division"):
        return f"Class {one.hazard_class} {one.zone}".replace("Class  ", "")
    if one.zone and one.zone != "mine":
        return f"zone {one.zone}"
    return one.zone or (f"EPL {one.epl}" if one.epl else "")


def needs_of(area: Area | None, code: Code) -> tuple[Need, ...]:
    """What each atmosphere of an area asks; one all-unknown need where none is stated."""
    if area is None or not area.atmospheres:
        return (_need("" if area is None else area.tag, Atmosphere(), code),)
    return tuple(_need(area.tag, one, code) for one in area.atmospheres)


def level_name(rank: float) -> str:
    """Name of the level of a rank: "ia", "ib", "ic"; "any" for inf, "unknown" for NaN."""
    for name, value in LEVELS.items():
        if rank == value:
            return name
    return "any" if rank == math.inf else "unknown"
