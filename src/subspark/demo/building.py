"""How the demo plant's circuits are built from tables: routes, slots, trunks and spurs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

from subspark.demo.cables import CABLES
from subspark.demo.places import CABINETS
from subspark.model import Circuit, Junction, Member, PortSupply, Run, SourceUse
from subspark.quantity import Evidence, Length, Temperature, Voltage

__all__ = ["Batch", "Builder", "Route", "Use"]

Screen = Literal["none", "floating", "earthed", "tied to one core", ""]

_PAIRS: Final = {cable.name: cable.pairs or 1 for cable in CABLES}
_SCREENED: Final = frozenset(cable.name for cable in CABLES if cable.C_screen.known)
_ISOLATED_CHANNELS: Final = frozenset({"RW-1107"})
_COMBINED: Final = {"AB-28R": "1+2"}
_SHORTEST_SPUR: Final = 9
_SPURS: Final = 41  # spurs differ by up to so many metres, in a fixed sequence
_MAINS: Final = Evidence(
    document="Loop drawing", note="24 V unit on 230 V mains, no SELV statement"
)
_SELV: Final = Evidence(document="Supply data sheet SU-2", page="1", note="SELV by its document")


@dataclass(frozen=True, slots=True)
class Route:
    """The way from a cabinet to the field: straight, or by a trunk to a box and a spur."""

    cabinet: str
    spur: str
    trunk: str = ""
    length: int = 0
    box: str = ""
    box_area: str = ""


@dataclass(frozen=True, slots=True)
class Use:
    """A field apparatus of a batch, and how it is used there."""

    apparatus: str
    connection: str = ""
    place: str = ""
    process: str = ""
    tag: str = ""
    temporary: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Circuits of one kind: one for each service, numbered on from ``first``."""

    letters: str
    first: int
    area: str
    route: str
    source: str
    uses: tuple[Use, ...]
    services: tuple[str, ...]
    device: str = ""
    straight: int = 0
    supply: Literal["", "mains", "SELV"] = ""


@dataclass(slots=True)
class Builder:
    """Gives out slots of cabinets and pairs of trunks in the order in which circuits come."""

    routes: dict[str, Route]
    _slots: dict[str, int] = field(default_factory=dict)
    _channels: dict[tuple[str, str], str] = field(default_factory=dict)
    _pairs: dict[str, int] = field(default_factory=dict)
    _boxes: dict[str, Junction] = field(default_factory=dict)
    _built: int = 0

    def circuits(self, batch: Batch) -> tuple[Circuit, ...]:
        """Return the circuits of a batch."""
        return tuple(
            self._circuit(batch, batch.first + number, service)
            for number, service in enumerate(batch.services)
        )

    @property
    def junctions(self) -> tuple[Junction, ...]:
        """The boxes that the circuits built so far go through."""
        return tuple(self._boxes.values())

    def _circuit(self, batch: Batch, number: int, service: str) -> Circuit:
        tag = f"{batch.letters}-{number}"
        route = self.routes[batch.route]
        self._built += 1
        drawing = f"LD-{number}-{batch.letters}"
        return Circuit(
            tag=tag,
            service=service,
            area=batch.area,
            sources=(self._source(batch, route.cabinet),),
            members=self._members(batch, tag, number),
            runs=self._runs(batch, route, tag),
            document=drawing,
            revision="B",
            evidence=Evidence(document=drawing, page="1"),
        )

    def _source(self, batch: Batch, cabinet: str) -> SourceUse:
        outputs = _COMBINED.get(batch.source, "")
        if batch.source in _ISOLATED_CHANNELS:
            held = self._channels.pop((cabinet, batch.source), "")
            outputs = "2" if held else "1"
            tag = held or self._slot(cabinet)
            if not held:
                self._channels[cabinet, batch.source] = tag
        else:
            tag = self._slot(cabinet)
        return SourceUse(
            tag=tag,
            source=batch.source,
            outputs=outputs,
            place=CABINETS[cabinet].place,
            cabinet=cabinet,
            safe_side=_behind(batch.supply),
        )

    def _slot(self, cabinet: str) -> str:
        self._slots[cabinet] = self._slots.get(cabinet, 0) + 1
        return f"{cabinet}/{self._slots[cabinet]:03d}"

    @staticmethod
    def _members(batch: Batch, tag: str, number: int) -> tuple[Member, ...]:
        first = f"{batch.device}-{number}" if batch.device else tag
        return tuple(
            Member(
                tag=use.tag or (first if place == 0 else f"{first}{chr(ord('A') + place - 1)}"),
                apparatus=use.apparatus,
                connection=use.connection,
                place=use.place,
                process=Temperature(use.process, Evidence(document="Line list LL-3"))
                if use.process
                else Temperature(),
                temporary=use.temporary,
            )
            for place, use in enumerate(batch.uses)
        )

    def _runs(self, batch: Batch, route: Route, tag: str) -> tuple[Run, ...]:
        spur = _SHORTEST_SPUR + 17 * self._built % _SPURS
        if not route.trunk:
            metres = batch.straight or route.length + spur
            return (_run(route.spur, metres, f"C-{tag}", (route.cabinet, tag)),)
        box, number = self._pair(route)
        return (
            _run(route.trunk, route.length, number or f"C-{tag}-1", (route.cabinet, box), route),
            _run(route.spur, spur, f"C-{tag}", (box, tag)),
        )

    def _pair(self, route: Route) -> tuple[str, str]:
        """Return the box and trunk in which a pair is still free."""
        pairs = _PAIRS[route.trunk]
        used = self._pairs.get(route.box, 0)
        self._pairs[route.box] = used + 1
        per_box = pairs if pairs > 1 else 12
        box = f"{route.box}{used // per_box + 1}"
        if box not in self._boxes:
            self._boxes[box] = Junction(
                tag=box,
                area=route.box_area,
                title=f"box of trunk {box.replace('JB', 'W')}",
                evidence=Evidence(document="Box schedule BX-1"),
            )
        return box, box.replace("JB", "W") if pairs > 1 else ""


def _run(
    cable: str, metres: int, number: str, ends: tuple[str, str], route: Route | None = None
) -> Run:
    start, end = ends
    screen: Screen = "earthed" if cable in _SCREENED else ""
    return Run(
        cable=cable,
        length=Length(f"{metres} m", Evidence(document="Cable schedule CS-2", note=number)),
        number=number,
        start=start,
        end=end,
        area=route.box_area if route else "",
        screen=screen,
        as_built="yes",
    )


def _behind(supply: str) -> tuple[PortSupply, ...]:
    if supply == "mains":
        return (PortSupply(port="safe", voltage=Voltage("230 V", _MAINS), evidence=_MAINS),)
    if supply == "SELV":
        return (PortSupply(port="safe", voltage=Voltage("24 V", _SELV), evidence=_SELV),)
    return ()
