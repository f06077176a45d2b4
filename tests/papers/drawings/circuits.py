"""Circuits made up to be hard to draw: many apparatus, long tags, every way of being joined."""

from __future__ import annotations

import random

from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Circuit,
    Entry,
    Junction,
    Limits,
    Member,
    Output,
    Plant,
    Port,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
)

LONG = "AREA-4711/UNIT-08/SYSTEM-B-"

AREAS = (
    Area(
        tag="A1",
        atmospheres=(Atmosphere(zone="1", group="IIC", temperature="T4"),),
        ambient="-20 to 40 °C",
    ),
    Area(
        tag="A0",
        title="vessels",
        atmospheres=(Atmosphere(zone="0", group="IIC", temperature="T4"),),
        ambient="-20 to 40 °C",
    ),
)
SOURCES = (
    SourceType(
        name="isolator",
        maker="A maker with rather a long name, of the north-east works",
        mark="[Ex ia Ga] IIC",
        isolation="galvanic",
        outputs=(
            Output(
                shape="linear",
                Uo="26 V",
                Io="90 mA",
                Po="585 mW",
                Ci="0",
                Li="0",
                limits=(Limits(group="IIC", Co="99 nF", Lo="4.3 mH"),),
            ),
        ),
        ports=(Port(name="supply", Um="253 V"), Port(name="signal", Um="253 V")),
    ),
    SourceType(
        name="barrier",
        mark="[Ex ia Ga] IIC",
        isolation="earthed barrier",
        outputs=(
            Output(shape="linear", Uo="12 V", Io="20 mA", Po="60 mW", Ci="0", Li="0", polarity="+"),
        ),
        ports=(Port(name="safe", Um="253 V"),),
    ),
)
ITEMS = (
    ApparatusType(
        name="transmitter",
        model="transmitter of pressure, temperature and a long list of further quantities",
        maker="Another maker",
        entries=(
            Entry(
                mark="Ex ia IIC T4 Ga",
                Ui="30 V",
                Ii="120 mA",
                Pi="900 mW",
                Ci="1 nF",
                Li="1 uH",
            ),
        ),
        isolation="yes",
        powered="no",
    ),
)
SIMPLE = (
    SimpleType(name="Pt100", sort="passive", Ci="0", Li="0", isolation="no", assessed="yes"),
    SimpleType(name="limit switch", sort="passive", item="switch or terminal", Ci="0", Li="0"),
)
CABLES = (
    CableType(name="two", C="100 pF/m", L="0.7 uH/m", R_loop="24 ohm/km", cores=2, screen="none"),
    CableType(
        name="four cores of a cable with quite a long designation 4x0.75",
        C="150 pF/m",
        L="0.7 uH/m",
        cores=4,
        screen="overall",
    ),
    CableType(name="multi", C="100 pF/m", L="0.7 uH/m", cores=2, pairs=12, screen="individual"),
)


def circuit(rng: random.Random, number: int, members: int) -> Circuit:
    """A circuit with so many apparatus, in a shape chosen by chance."""
    head = LONG if rng.random() < 0.5 else ""
    tag = f"{head}FT-{number:03d}"
    sources = tuple(
        SourceUse(
            tag=f"{head}K-{number}.{nth}",
            source=rng.choice(SOURCES).name,
            cabinet=rng.choice(("CAB-1", "", f"{head}CAB-2")),
            place=rng.choice(("safe area", "safe area", "A1", "")),
        )
        for nth in range(rng.choice((1, 1, 2, 4, 0)))
    )
    names = [f"{tag}-{nth}" for nth in range(members)]
    points = [one.tag for one in sources] + [f"{head}JB-{number}{letter}" for letter in "ABC"]
    runs = []
    ends = [sources[0].tag if sources else "nowhere"]
    for nth, name in enumerate([*rng.sample(points, 2), *names]):
        if rng.random() < 0.12:
            continue  # no cable recorded to it
        runs.append(
            Run(
                cable=rng.choice((*(one.name for one in CABLES), "")),
                length=rng.choice(("250 m", "12 m", "")),
                number=rng.choice((f"{head}W-{number}-{nth}", "")),
                start=rng.choice(("", *ends)),
                end=rng.choice((name, name, name, "")),
                area=rng.choice(("", "A1", "safe area")),
                screen=rng.choice(("", "earthed", "floating", "none")),
            )
        )
        ends.append(name)
    return Circuit(
        tag=tag,
        service=rng.choice(("", "level of the vessel at the far end of the unit, upper branch")),
        area="A1",
        sources=sources,
        members=tuple(
            Member(
                tag=rng.choice((name, name, "")),
                apparatus=rng.choice(("transmitter", "Pt100", "limit switch")),
                place=rng.choice(("", "A0")),
                temporary=rng.random() < 0.1,
            )
            for name in names
        ),
        runs=tuple(runs),
        document=rng.choice(("", "DOC-1", LONG * 3)),
    )


def plant(seed: int, count: int) -> Plant:
    """A plant of such circuits, with 0 to 12 apparatus each."""
    rng = random.Random(seed)
    circuits = tuple(circuit(rng, number, number % 13) for number in range(count))
    boxes = {end for one in circuits for run in one.runs for end in (run.start, run.end)}
    junctions = tuple(
        Junction(tag=tag, area="A1", title="box") for tag in sorted(boxes) if "JB" in tag
    )
    return Plant(
        name="made up",
        areas=AREAS,
        sources=SOURCES,
        apparatus=ITEMS,
        simple=SIMPLE,
        cables=CABLES,
        junctions=junctions,
        circuits=circuits,
    )
