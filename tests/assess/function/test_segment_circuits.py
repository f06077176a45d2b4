"""Fieldbus segments, trunks of couplers and two-wire Ethernet links from model to verdict."""

from __future__ import annotations

import dataclasses

import pytest

import subspark as ss
from assess.function.circuits import data
from subspark.choose.longest import longest
from subspark.quantity import Length, ResistancePerLength, Voltage

SUPPLY = {"role": "fieldbus supply", "terminal voltage": ">= 12.8 V", "current limit": ">= 110 mA"}
DEVICE = {"role": "fieldbus device", "basic current": "20 mA", "fault current": "<= 9 mA"}
OHM_KM = 44.0 * 284.5 / 254.5e3
"""Loop of the cable at 50 degC [ohm/m]: 44 ohm/km at 20 degC."""
COUPLER = {
    "role": "field coupler", "basic current": "150 mA", "spur current limit": "60 mA",
    "trunk voltage": ">= 16 V", "highest operating voltage": "60 V",
}  # fmt: skip


def run(metres, start, end, part="", **more):
    return ss.Run(
        cable="FB", length=f"{metres} m", start=start, end=end, part=part,
        number=f"{start}-{end}", **more,
    )  # fmt: skip


def plant(runs, devices, *, supply=SUPPLY, own=None, method="FISCO", tools=(), terminals_of=""):
    """A circuit F of devices by tag, its supply PS1."""
    source = ss.SourceType(
        name="PS",
        outputs=(ss.Output(Uo=Voltage("14 V"), method=method),),
        function=data(supply),
        terminals_of=terminals_of,
    )
    items = {**devices, **{f"tool {n}": one for n, one in enumerate(tools)}}
    members = [ss.Member(tag=tag, apparatus=f"type of {tag}") for tag in devices]
    members += [
        ss.Member(tag=tag, apparatus=f"type of {tag}", temporary=True)
        for tag in items
        if tag not in devices
    ]
    return ss.Plant(
        areas=(ss.Area(tag="A", ambient="-20 to 50 °C"),),
        sources=(source,),
        apparatus=tuple(
            ss.ApparatusType(name=f"type of {tag}", function=data(one))
            for tag, one in {**items, "FC": COUPLER}.items()
        ),
        cables=(
            ss.CableType(
                name="FB", R_loop_max=ResistancePerLength("44 ohm/km"), C="60 nF/km", L="0.6 mH/km"
            ),
        ),
        circuits=(
            ss.Circuit(
                tag="F",
                area="A",
                method=method,
                sources=(ss.SourceUse(tag="PS1", source="PS"),),
                members=tuple(members),
                runs=tuple(runs),
                function=data(own or {}),
            ),
        ),
    )


def judge(*args, **more):
    return ss.assess(plant(*args, **more)).function["F"]


RUNS = (
    run(600, "PS1", "J1", "trunk"),
    run(200, "J1", "J2", "trunk"),
    run(20, "J1", "D0", "spur"),
    run(30, "J1", "D1", "spur"),
    run(40, "J2", "D2", "spur"),
    run(118, "J2", "D3", "spur"),
)
FOUR = {f"D{n}": DEVICE for n in range(4)}


def volts(found):
    return found.rules["volts at the device"].limit


def test_volts_along_trunk_and_spurs():
    # 80 mA and 9 mA of a fault on 600 m, 40 + 9 mA on 200 m, 20 + 9 mA on the spur of 118 m
    found = judge(RUNS, FOUR)
    lost = OHM_KM * (600 * 0.089 + 200 * 0.049 + 118 * 0.029)
    assert volts(found) == pytest.approx(12.8 - lost)
    assert (found.word, found.rules["volts at the device"].of) == ("works", "D3")
    assert found.rules["volts at the device"].demand == 9.0
    assert found.rules["current of the segment"].demand == pytest.approx(0.089)
    told = found.staircase
    assert [one.label for one in told.steps][1:] == ["run PS1-J1", "run J1-J2", "run J2-D3"]
    assert told.steps[1].change == pytest.approx(-OHM_KM * 600 * 0.089)
    assert told.left == pytest.approx(volts(found))
    assert told.at == "D3 in fault"


def test_the_order_and_direction_of_runs_do_not_matter():
    turned = [
        dataclasses.replace(one, start=one.end, end=one.start) for one in reversed(RUNS)
    ]  # fmt: skip
    assert volts(judge(turned, FOUR)) == pytest.approx(volts(judge(RUNS, FOUR)))


def test_a_demanding_device_close_by_can_be_the_worst():
    found = judge(RUNS, {**FOUR, "D0": {**DEVICE, "lowest supply voltage": "10.5 V"}})
    assert found.word == "fails"
    assert found.rules["volts at the device"].of == "D0"
    # 80 + 9 mA on 600 m, 20 + 9 mA on 20 m
    assert volts(found) == pytest.approx(12.8 - OHM_KM * (600 * 0.089 + 20 * 0.029))
    assert dict(found.devices)["D3"] == ss.Verdict.SAFE


def replaced(number, **facts):
    """The runs with one of them changed."""
    return [dataclasses.replace(one, **facts) if n == number else one for n, one in enumerate(RUNS)]


@pytest.mark.parametrize(
    ("runs", "named"),
    [
        (replaced(0, end=""), "ohms of the ways"),
        ([*RUNS, run(5, "J2", "D0", "spur")], "ohms of the ways"),
        (replaced(1, length=Length()), "ohms of the ways"),
        (replaced(0, cable=""), "ohms of the ways"),
        ([dataclasses.replace(one, part="") for one in RUNS], "length of the spur"),
    ],
)
def test_a_tree_that_is_not_known_leaves_function_unproven(runs, named):
    found = judge(runs, FOUR)
    assert found.word == "unproven"
    assert any(one.startswith(named) for one in found.missing), found.missing


@pytest.mark.parametrize(
    ("where", "word", "named"),
    [
        ("supply", "role", "role of the source"),
        ("supply", "terminal voltage", "terminal voltage of the source"),
        ("supply", "current limit", "current limit of the source"),
        ("device", "basic current", "basic current of every device"),
        ("device", "fault current", "fault current, or spur current limit, of every device"),
    ],
)
def test_a_missing_figure_is_named(where, word, named):
    supply = {key: text for key, text in SUPPLY.items() if (where, key) != ("supply", word)}
    device = {key: text for key, text in DEVICE.items() if (where, key) != ("device", word)}
    found = judge(RUNS, {**FOUR, "D1": device}, supply=supply)
    assert found.word == "unproven"
    assert named in found.missing


def test_reserve_hand_held_and_margin():
    tool = {"role": "fieldbus device", "basic current": "12 mA"}
    plain = judge(RUNS, FOUR)
    found = judge(RUNS, FOUR, tools=[tool], own={"reserve": "10 %", "margin": "0.5 V"})
    current = found.rules["current of the segment"]
    assert (current.demand, current.limit) == pytest.approx((0.101, 0.099))
    assert current.word == "fails"
    assert volts(plain) - volts(found) == pytest.approx(OHM_KM * 918 * 0.012)
    assert found.rules["volts at the device"].demand == 9.5
    unknown = judge(RUNS, FOUR, tools=[{"role": "fieldbus device"}])
    assert unknown.word == "unproven"
    assert "basic current of the hand-held" in unknown.missing


def test_spurs_shorten_with_the_number_of_devices():
    many = {f"D{n}": {**DEVICE, "basic current": "1 mA"} for n in range(14)}
    runs = [*RUNS[:4], *(run(95 if n == 9 else 20, "J2", f"D{n}", "spur") for n in range(2, 14))]
    found = judge(runs, many)
    assert found.word == "fails"
    assert (found.governing, found.rules["spur length"].of) == ("spur length", "D9")
    assert (found.rules["spur length"].demand, found.rules["spur length"].limit) == (95.0, 90.0)
    # two devices on one spur of 50 and 55 m: 90 m for twelve devices and fewer
    fork = (run(50, "J1", "T", "spur"), run(5, "T", "D0", "spur"), run(45, "T", "D1", "spur"))
    forked = [*RUNS[:2], *fork]
    found = judge(forked, {"D0": DEVICE, "D1": DEVICE})
    assert found.rules["spur length"].of == "D1"
    assert (found.rules["spur length"].demand, found.rules["spur length"].limit) == (95.0, 90.0)


def test_a_trunk_beyond_the_reach_of_the_signal():
    found = judge([run(1950, "PS1", "D0", "trunk")], {"D0": {**DEVICE, "basic current": "5 mA"}})
    assert (found.governing, found.word) == ("segment length", "fails")


TRUNK = (run(300, "PS1", "FC1", "trunk"), run(150, "FC1", "FC2", "trunk"))
HIGH_POWER = {
    "role": "fieldbus supply",
    "terminal voltage": "28 to 30 V",
    "current limit": "500 mA",
}


def test_a_trunk_of_couplers_with_one_spur_shorted():
    found = judge(TRUNK, {"FC1": COUPLER, "FC2": COUPLER}, supply=HIGH_POWER, method="entity")
    # 300 + 60 mA on 300 m, 150 + 60 mA on 150 m
    assert volts(found) == pytest.approx(28.0 - OHM_KM * (300 * 0.36 + 150 * 0.21))
    assert (found.word, found.rules["current of the segment"].demand) == ("works", 0.36)
    short = judge(
        TRUNK, {"FC1": COUPLER, "FC2": {**COUPLER, "trunk voltage": ">= 21.2 V"}},
        supply=HIGH_POWER, method="entity",
    )  # fmt: skip
    assert short.word == "fails"


def test_couplers_of_constant_power():
    # two of 3 W at one place, 400 m: 18.0 ohm hot; V = 28 - R x 6/V: 23.3 V and 0.257 A
    power = {**COUPLER, "power": "3 W", "spur current limit": "0 mA"}
    del power["basic current"]
    runs = (run(400, "PS1", "J", "trunk"), run(0, "J", "FC1", "trunk"), run(0, "J", "FC2", "trunk"))
    found = judge(runs, {"FC1": power, "FC2": power}, supply=HIGH_POWER, method="entity")
    R = OHM_KM * 400
    upper = (28.0 + (28.0**2 - 4 * 6.0 * R) ** 0.5) / 2
    assert volts(found) == pytest.approx(upper)
    assert found.rules["current of the segment"].demand == pytest.approx(6.0 / upper)
    assert found.staircase.left == pytest.approx(upper)
    # 36 W of the supply at 6 ohm would not be enough for ten such couplers
    ten = {f"FC{n}": power for n in range(10)}
    many = (run(400, "PS1", "J", "trunk"), *(run(0, "J", f"FC{n}", "trunk") for n in range(10)))
    assert judge(many, ten, supply=HIGH_POWER, method="entity").word == "fails"


def test_the_load_of_a_coupler_may_be_stated_in_its_circuit():
    circuit = plant(TRUNK, {"FC1": COUPLER, "FC2": COUPLER}, supply=HIGH_POWER, method="entity")
    (one,) = circuit.circuits
    loaded = dataclasses.replace(
        one,
        function=(ss.model.Datum(what="basic current", value="250 mA", part="FC2"),),
    )
    found = ss.assess(dataclasses.replace(circuit, circuits=(loaded,))).function["F"]
    assert volts(found) == pytest.approx(28.0 - OHM_KM * (300 * 0.46 + 150 * 0.31))


def test_the_spur_of_a_coupler_is_a_circuit_of_its_own():
    spur = {"role": "fieldbus supply", "terminal voltage": ">= 12 V", "current limit": ">= 32 mA"}
    runs = (run(100, "PS1", "D0"),)
    found = judge(runs, {"D0": DEVICE}, supply=spur, terminals_of="type of FC")
    assert found.word == "unproven"
    assert "stations of the whole segment" in found.missing
    for stations, says in (("12", "works"), ("18", "fails")):
        told = judge(
            runs, {"D0": DEVICE}, supply=spur, terminals_of="type of FC", own={"stations": stations}
        )
        assert told.word == says


LINK = {"role": "fieldbus supply", "terminal voltage": ">= 9.6 V", "current limit": ">= 90 mA"}
PORT = {"role": "fieldbus device", "power": "0.54 W", "lowest supply voltage": "8.5 V"}


def test_a_link_of_two_wire_ethernet_draws_constant_power():
    # worked: 16.1 ohm: 8.59 V. 16.1 ohm of the hot cable are 327.3 m
    link = (run(16.1 / OHM_KM, "PS1", "D0"),)
    found = judge(link, {"D0": PORT}, supply=LINK, method="2-WISE")
    assert volts(found) == pytest.approx(8.59, abs=0.005)
    assert found.word == "works"
    assert found.rules["spur length"].word == "not asked"
    needy = {**PORT, "lowest supply voltage": "8.6 V"}
    assert judge(link, {"D0": needy}, supply=LINK, method="2-WISE").word == "fails"
    silent = {key: text for key, text in PORT.items() if key != "lowest supply voltage"}
    assert judge(link, {"D0": silent}, supply=LINK, method="2-WISE").word == "unproven"


def test_the_longest_trunk_is_to_the_millimetre():
    (found,) = longest(plant(RUNS, FOUR), run=0)
    # 12.8 - 9 V less 200 m x 49 mA and 118 m x 29 mA, over 89 mA
    metres = (3.8 / OHM_KM - 200 * 0.049 - 118 * 0.029) / 0.089
    assert found.works_to == pytest.approx(metres, abs=0.001)
    assert found.works_to <= metres + 1e-9
    assert found.works_binds == "volts at the device"


def test_a_segment_alone_is_judged_as_among_others():
    """Cases of other numbers of devices fill up the columns with members that do not count."""
    small = plant(RUNS[:1], {"J1": {**PORT, "fault current": "0 mA"}}, supply=LINK)
    large = plant(RUNS, FOUR)
    (circuit,), (source,) = large.circuits, large.sources
    use = ss.SourceUse(tag="PS2", cabinet="PS1", source="PS of large")
    both = dataclasses.replace(
        small,
        sources=(*small.sources, dataclasses.replace(source, name="PS of large")),
        apparatus=(*small.apparatus[:-1], *large.apparatus),
        circuits=(*small.circuits, dataclasses.replace(circuit, tag="G", sources=(use,))),
    )
    found = ss.assess(both).function
    assert found["G"].rules == judge(RUNS, FOUR).rules
    assert found.verdict("G") is judge(RUNS, FOUR).verdict
    assert found["F"].rules == ss.assess(small).function["F"].rules
    assert found.verdict("F") is ss.assess(small).function["F"].verdict


@pytest.mark.parametrize(
    ("where", "word", "text", "values"),
    [
        ("supply", "terminal voltage", ">= {} V", (14, 12.8, 12, 11, 9)),
        ("supply", "current limit", ">= {} mA", (200, 89, 88, 50)),
        ("device", "basic current", "{} mA", (5, 20, 30, 60)),
        ("device", "fault current", "<= {} mA", (0, 9, 20, 30, 31)),
        ("device", "lowest supply voltage", "{} V", (5, 9, 9.4, 12)),
        ("own", "reserve", "{} %", (0, 10, 19, 20)),
    ],
)
def test_a_figure_that_gets_worse_never_mends(where, word, text, values):
    said = []
    for value in values:
        figure = {word: text.format(value)}
        found = judge(
            RUNS,
            {**FOUR, "D2": {**DEVICE, **figure} if where == "device" else DEVICE},
            supply={**SUPPLY, **figure} if where == "supply" else SUPPLY,
            own=figure if where == "own" else None,
        )
        said.append(found.word)
    assert said == sorted(said, reverse=True), said
    assert (said[0], said[-1]) == ("works", "fails")
