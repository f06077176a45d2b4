"""Fieldbus segments from plant to verdict: FISCO and 2-WISE, and what voids their proof.

Figures: IEC 60079-11:2011 Annex G and IEC TS 60079-47:2021, from memory.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

import subspark as ss
from assess.segment import (
    DEVICE,
    ENTITY_SET,
    FISCO_SET,
    RUNS,
    TERMINATOR,
    cable,
    device,
    entry,
    link,
    output,
    plant,
    read,
    run,
    said,
    source,
    wrong,
)  # fmt: skip
from assess.spoiling import spoiled
from subspark.assess.segments import spur_lengths
from subspark.assess.tree import Line
from subspark.assess.working import working
from subspark.quantity import Evidence

SPURS = (
    run("300 m", "PS-1", "JB-1", "trunk"),
    run("75 m", "JB-1", "D-1"),
    run("20 m", "JB-1", "D-2"),
)
LINEAR = {"shape": "linear", "Uo": "16 V", "Io": "100 mA", "Po": "400 mW"}


def with_limits(**facts: object) -> ss.SourceType:
    """A supply with values for FISCO, and linear ones with Co and Lo for entity."""
    limits = (ss.Limits(group="IIC", **_limits("300 nF", "3 mH")),)
    entity = output("entity", "entity", terminator="yes", limits=limits, **LINEAR, **facts)
    return source(output(name="FISCO"), entity)


def _limits(Co: str, Lo: str) -> dict[str, object]:
    return {"Co": ss.quantity.Capacitance(Co), "Lo": ss.quantity.Inductance(Lo)}


def line(of: ss.Plant, label: str) -> str:
    told = working(ss.assess(of), "S").section("segment")
    assert told is not None
    return next(one.text for one in told.blocks if isinstance(one, Line) and one.label == label)


def test_a_segment_in_order_is_safe_without_any_sum():
    found = ss.assess(plant())["S"]
    assert found.verdict is ss.Verdict.SAFE
    assert found.k == "FISCO"
    asked = {name for name, one in found.rules.items() if one.verdict is not ss.Verdict.NOT_ASKED}
    assert not asked & {"capacitance", "inductance", "permitted current"}
    assert asked >= {
        "voltage", "current", "power", "segment source", "segment device", "terminators",
        "segment cable", "segment length", "segment count", "supply", "level", "group",
        "temperature class", "ambient", "place", "conditions", "cable",
    }  # fmt: skip


def test_entity_circuits_know_nothing_of_segments():
    facts = {"items": (device("D", entry("entity", **ENTITY_SET)),), "method": "entity"}
    found = ss.assess(plant(kind=with_limits(), **facts))["S"]
    assert found.verdict is ss.Verdict.SAFE
    assert found.rules["segment device"].verdict is ss.Verdict.NOT_ASKED
    assert found.rules["capacitance"].verdict is ss.Verdict.SAFE


# --- the group and the level ---------------------------------------------------------------------


def test_length_in_all_goes_by_the_group():
    # trunk with its spurs: 1000 m in IIC, 5000 m in IIB; dust as IIB
    long = (run("1500 m", "PS-1", "JB-1", "trunk"), *RUNS[1:])
    assert wrong(plant(runs=long)) == {"segment length": "unsafe"}
    assert wrong(plant(runs=long, group="IIB")) == {}
    assert said(plant(runs=long, group="IIB"), "segment length").startswith("spur 60 m")
    mine = (run("1500 m", "PS-1", "JB-1", "trunk"), *RUNS[1:])
    assert "segment length" in wrong(plant(runs=mine, group="I", zone="mine"))


def test_spurs_count_in_the_length_in_all():
    # 921 m + 60 m + 20 m = 1001 m
    assert wrong(plant(runs=(run("921 m", "PS-1", "JB-1", "trunk"), *RUNS[1:]))) == {
        "segment length": "unsafe"
    }
    assert wrong(plant(runs=(run("920 m", "PS-1", "JB-1", "trunk"), *RUNS[1:]))) == {}


def test_ic_asks_neither_Ii_nor_Pi():
    bare = {name: text for name, text in FISCO_SET.items() if name not in ("Ii", "Pi")}
    plain = device("D", entry(mark="Ex ic IIC T4 Gc", **bare))
    assert wrong(plant(items=(plain, TERMINATOR), zone="2")) == {}
    higher = wrong(plant(items=(device("D", entry(**bare)), TERMINATOR), zone="1"))
    assert higher == {
        "current": "unproven", "power": "unproven", "segment device": "unproven",
    }  # fmt: skip


def test_ic_may_drive_more_current():
    # IEC 60079-11:2011 Annex G, supply of ic: 1.5 times that of ia and ib
    kind = source(output(Io="570 mA", Po="8 W"))
    assert wrong(plant(kind=kind, zone="2")) == {}
    assert wrong(plant(kind=kind, zone="1")) == {
        "current": "unsafe", "power": "unsafe", "segment source": "unsafe",
    }  # fmt: skip


# --- sets are never mixed ------------------------------------------------------------------------


def test_sets_of_a_device_are_never_mixed():
    # entity 24 V, 250 mA, 1.2 W; FISCO 17.5 V, 380 mA, 5.32 W; linear source 22 V, 300 mA, 1.65 W:
    # the larger of each would pass, and is no proof
    limits = (ss.Limits(group="IIC", **_limits("150 nF", "0.3 mH")),)
    texts = {"shape": "linear", "Uo": "22 V", "Io": "300 mA", "Po": "1.65 W"}
    kind = source(output("entity", limits=limits, **texts))
    found = ss.assess(plant(kind=kind, items=(DEVICE,), runs=RUNS[1:2], method="entity"))["S"]
    assert found.rules["voltage"].verdict is ss.Verdict.SAFE
    assert found.rules["current"].sentence == "300 mA > 250 mA (D-1)"
    assert found.rules["power"].sentence == "1.65 W > 1.2 W (D-1)"
    assert found.verdict is ss.Verdict.UNSAFE


def test_a_fisco_device_in_an_entity_circuit_is_not_proved():
    only = device("D", entry(**FISCO_SET))
    found = wrong(plant(kind=with_limits(), items=(only,), method="entity"))
    assert found["voltage"] == found["capacitance"] == "unproven"
    assert "unsafe" not in found.values()


def test_a_fisco_source_serves_no_entity_proof():
    items = (device("D", entry("entity", **ENTITY_SET)),)
    of = plant(items=items, method="entity")
    found = wrong(of)
    assert found["voltage"] == found["capacitance"] == "unproven"
    needs = [str(one) for one in ss.assess(of).missing_of("S")]
    assert "source PS: values for an entity proof; those of FISCO serve no other" in needs


def test_one_entity_device_voids_the_proof_of_a_segment():
    roomy = {**ENTITY_SET, "Ii": "500 mA", "Pi": "6 W"}
    stranger = device("E", entry("entity", **roomy))
    of = plant(items=(DEVICE, stranger, TERMINATOR))
    assert wrong(of) == {"segment device": "unproven"}
    assert said(of, "segment device") == "no set for FISCO (E-2)"
    needs = [str(one) for one in ss.assess(of).missing_of("S")]
    assert needs == ["apparatus E: its set for FISCO; without one the segment is no FISCO"]


def test_a_limit_that_an_entity_device_breaks_is_found():
    stranger = device("E", entry("entity", **{**ENTITY_SET, "Ui": "12 V"}))
    found = wrong(plant(items=(DEVICE, stranger, TERMINATOR)))
    assert found["voltage"] == found["segment device"] == "unsafe"


def test_a_source_without_values_for_the_method():
    found = wrong(plant(kind=source(output("entity"))))
    assert found == {"segment source": "unproven"}


def test_two_sources():
    of = plant()
    twice = replace(of.circuits[0], sources=of.circuits[0].sources * 2)
    found = wrong(replace(of, circuits=(twice,)))
    assert found["segment source"] == "unsafe"
    assert found["terminators"] == "unsafe"  # each has one built in, and there is one outside


def test_of_two_sets_at_the_same_terminals_the_one_of_the_method_serves():
    assert wrong(plant(kind=with_limits())) == {}


# --- terminators ---------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("built_in", "outside", "verdict"),
    [
        ("yes", 1, {}), ("no", 2, {}), ("yes", 0, {"terminators": "unsafe"}),
        ("yes", 2, {"terminators": "unsafe"}), ("no", 1, {"terminators": "unsafe"}),
        ("", 1, {"terminators": "unproven"}), ("", 2, {"terminators": "unproven"}),
    ],
)  # fmt: skip
def test_two_terminators_no_more_no_fewer(built_in, outside, verdict):
    kind = source(output(terminator=built_in))
    assert wrong(plant(kind=kind, items=(DEVICE, *([TERMINATOR] * outside)))) == verdict


@pytest.mark.parametrize(
    ("values", "verdict"),
    [
        ({"R": "90 ohm", "C": "0.8 µF"}, ""), ({"R": "102 ohm", "C": "1.2 µF"}, ""),
        ({"R": "102.5 ohm", "C": "1 µF"}, "unsafe"), ({"R": "100 ohm", "C": "2.2 µF"}, "unsafe"),
        ({"R": "100 ohm"}, "unproven"), ({"C": "1 µF"}, "unproven"), ({}, "unproven"),
        ({"R": "< 102 ohm", "C": "1 µF"}, "unproven"),
    ],
)  # fmt: skip
def test_terminator_windows(values, verdict):
    one = device("T", TERMINATOR.entries[0], role="terminator", **read(**values))
    found = wrong(plant(items=(DEVICE, one)))
    assert found == ({"terminators": verdict} if verdict else {})


def test_what_has_R_and_C_but_no_role_may_be_a_terminator():
    one = device("U", TERMINATOR.entries[0], **read(R="100 ohm", C="1 µF"))
    assert wrong(plant(items=(DEVICE, TERMINATOR, one)))["terminators"] == "unproven"


# --- cable and lengths ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("texts", "verdict"),
    [
        ({"R_loop": "15 ohm/km", "R_loop_max": "150 ohm/km"}, ""),
        ({"R_loop": "14 ohm/km"}, "unsafe"),
        ({"R_loop_max": "151 ohm/km"}, "unsafe"),
        ({"R_loop_max": ""}, "unproven"),
        ({"R_loop": ""}, "unproven"),
        ({"R_loop": "", "R_core": "20 ohm/km"}, ""),
        ({"L": "0.39 mH/km"}, "unsafe"),
        ({"L": "1.01 mH/km"}, "unsafe"),
        ({"L": ""}, "unproven"),  # no default serves
        ({"L": "≤ 0.7 mH/km"}, "unproven"),  # says nothing of the least
        ({"C": "44 nF/km"}, "unsafe"),
        ({"C": "201 nF/km"}, "unsafe"),
        ({"C": ""}, "unproven"),
    ],
)
def test_cable_windows(texts, verdict):
    found = wrong(plant(cables=(cable(**texts),)))
    assert found == ({"segment cable": verdict} if verdict else {})


@pytest.mark.parametrize(
    ("use", "verdict"),
    [
        # 80 nF/km core to core, 140 nF/km core to screen: 150 where isolated, 220 where tied
        ("floating", {}), ("earthed", {}), ("tied to one core", {"segment cable": "unsafe"}),
        ("", {"segment cable": "unsafe"}),  # 220 nF/km cannot be excluded
    ],
)  # fmt: skip
def test_capacitance_by_the_use_of_the_screen(use, verdict):
    screened = cable(C="", C_core="80 nF/km", C_screen="140 nF/km", screen="overall")
    runs = tuple(replace(one, screen=use) for one in RUNS)
    assert wrong(plant(cables=(screened,), runs=runs)) == verdict


def test_a_default_of_the_cable_is_neither_used_nor_told():
    found = ss.assess(plant(cables=(cable(C="", L=""),)))["S"]
    assert found.verdict is ss.Verdict.UNPROVEN
    assert found.assumptions == ()


def test_a_least_capacitance_is_not_helped_by_an_unknown_screen():
    # 30 + 12 = 42 nF/km where it floats, below 45; 54 where it is tied
    screened = cable(C="", C_core="30 nF/km", C_screen="24 nF/km", screen="overall")
    runs = tuple(replace(one, screen="tied to one core") for one in RUNS)
    assert wrong(plant(cables=(screened,), runs=runs)) == {}
    assert wrong(plant(cables=(screened,))) == {"segment cable": "unsafe"}


def test_a_spur_over_length_and_its_repair():
    of = plant(runs=SPURS, kind=with_limits())
    found = ss.assess(of)["S"]
    assert found.sentence == "Unsafe. Segment length: spur 75 m against 60 m (run 2)."
    shorter = (SPURS[0], replace(SPURS[1], length=ss.quantity.Length("60 m")), SPURS[2])
    assert wrong(plant(runs=shorter, kind=with_limits())) == {}


def test_the_entity_way_is_tried_and_told():
    # by entity, the terminator of 1 uF and Ci 5 nF cannot pass Co 300 nF; it has no entity set
    assert line(plant(runs=SPURS, kind=with_limits()), "by the entity way").startswith("unproven")
    # both devices have an entity set: 16 V, 100 mA, 400 mW against 24 V, 250 mA, 1.2 W;
    # 5 nF + 75 m x 120 nF/km = 14 nF of 300 nF
    spur = (run("75 m", "PS-1", "D-1"),)
    of = plant(runs=spur, kind=with_limits(), items=(DEVICE,))
    assert "unsafe" in wrong(of).values()  # neither terminators nor the length
    assert line(of, "by the entity way") == "safe"
    long = plant(runs=(run("3000 m", "PS-1", "D-1"),), kind=with_limits(), items=(DEVICE,))
    assert line(long, "by the entity way") == "unsafe (capacitance)"


def test_runs_of_a_spur_that_meet_off_the_trunk_are_one_spur():
    runs = (
        run("300 m", "PS-1", "JB-1", "trunk"),
        run("40 m", "JB-1", "SP-1"),
        run("15 m", "SP-1", "D-1"),
        run("15 m", "SP-1", "D-2"),
        run("50 m", "JB-1", "D-3"),
    )
    assert [one.most for one in spur_lengths(runs)][1:] == [70.0, 70.0, 70.0, 50.0]
    assert [one.least for one in spur_lengths(runs)][1:] == [70.0, 70.0, 70.0, 50.0]
    assert wrong(plant(runs=runs)) == {"segment length": "unsafe"}


def test_ends_that_are_not_stated_leave_a_range():
    blank = tuple(replace(one, start="", end="") for one in RUNS)
    assert [tuple(one) for one in spur_lengths(blank)][1:] == [(60.0, 80.0), (20.0, 80.0)]
    assert wrong(plant(runs=blank)) == {"segment length": "unproven"}
    short = (blank[0], *(replace(one, length=ss.quantity.Length("30 m")) for one in blank[1:]))
    assert wrong(plant(runs=short)) == {}  # together no more than one spur may have


def test_a_run_that_may_be_trunk_or_spur():
    unsaid = (replace(RUNS[0], part=""), *RUNS[1:])
    assert wrong(plant(runs=unsaid)) == {"segment length": "unproven"}


# --- devices -------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("facts", "verdict"),
    [
        ({"powered": "no"}, {}),
        ({"powered": "yes", "energy": "passive by its document"}, {}),
        ({"powered": "yes", "energy": "within 1.5 V, 100 mA, 25 mW"}, "unproven"),
        ({"powered": "yes", "energy": ""}, "unproven"),
    ],
)
def test_a_device_feeds_nothing_back(facts, verdict):
    found = wrong(plant(items=(device("D", entry(**FISCO_SET), **facts), TERMINATOR)))
    assert found.get("segment device", {}) == verdict


@pytest.mark.parametrize(("Io", "verdict"), [("50 µA", ""), ("51 µA", "unsafe")])
def test_leakage(Io, verdict):
    texts = {"Uo": "1 V", "Io": Io, "Po": "50 µW"}
    found = wrong(plant(items=(device("D", entry(**FISCO_SET, **texts)), TERMINATOR)))
    assert found.get("segment device", "") == verdict


def test_simple_apparatus_keeps_the_limits_of_C_and_L_too():
    box = ss.SimpleType(
        name="Box", sort="passive", item="switch or terminal", assessed="yes", isolation="yes",
        powered="no", ambient=ss.quantity.TemperatureRange("-40 to 60 °C"),
        **read(Ci="negligible", Li="negligible"),
    )  # fmt: skip
    assert wrong(plant(items=(DEVICE, TERMINATOR, box))) == {}
    storing = replace(box, sort="storing", **read(Ci="6 nF"))
    assert wrong(plant(items=(DEVICE, TERMINATOR, storing))) == {"segment device": "unsafe"}


def test_no_more_than_32_stations():
    # 31 devices and the source
    assert wrong(plant(items=(*[DEVICE] * 31, TERMINATOR))) == {}
    assert wrong(plant(items=(*[DEVICE] * 32, TERMINATOR))) == {"segment count": "unsafe"}


# --- editions and confirmed figures --------------------------------------------------------------


def edition(value: str) -> tuple[ss.Declaration, ...]:
    return (ss.Declaration(fact="fieldbus edition", value=value),)


def test_the_first_generation_by_declaration():
    # IEC 60079-27:2005, from memory: spurs of 30 m
    old = edition("IEC 60079-27:2005")
    assert wrong(plant(facts=old)) == {"segment length": "unsafe"}
    short = (RUNS[0], replace(RUNS[1], length=ss.quantity.Length("30 m")), RUNS[2])
    assert wrong(plant(facts=old, runs=short)) == {}
    # 1900 m in IIB at level ib, 1000 m at ia
    long = (run("1800 m", "PS-1", "JB-1", "trunk"), *short[1:])
    assert wrong(plant(facts=old, runs=long, group="IIB", zone="1")) == {}
    assert wrong(plant(facts=old, runs=long, group="IIB", zone="0")) == {"segment length": "unsafe"}


def test_an_edition_without_figures_proves_nothing():
    found = wrong(plant(facts=edition("IEC 60079-11:1999")))
    assert set(found.values()) == {"unproven"}
    needs = [str(one) for one in ss.assess(plant(facts=edition("1999"))).missing_of("S")]
    assert any("fieldbus edition, one of: IEC 60079-11:2011" in one for one in needs)


def test_the_edition_follows_the_code():
    assert "IEC 60079-11:2023" in line(plant(code="IEC-2024"), "method")


def test_a_link_is_blocked_until_a_person_confirms_the_figures():
    assert wrong(link()) == {}
    assert wrong(link(confirmed=False)) == {"segment length": "unproven"}
    needs = [str(one) for one in ss.assess(link(confirmed=False)).missing_of("S")]
    assert len(needs) == 1
    assert needs[0].startswith("plant: fieldbus figures confirmed: ")


@pytest.mark.parametrize(
    ("value", "evidence"),
    [
        ("yes", Evidence()), ("yes", Evidence(document="D", assumed=True)),
        ("no", Evidence(document="D")),
    ],
)  # fmt: skip
def test_a_confirmation_needs_its_evidence(value, evidence):
    said = ss.Declaration(fact="fieldbus figures confirmed", value=value, evidence=evidence)
    assert wrong(link(confirmed=False, facts=(said,))) == {"segment length": "unproven"}


def test_a_link_is_point_to_point():
    load = device("D", entry("2-WISE", **FISCO_SET))
    assert wrong(link(items=(load, load))) == {"segment count": "unsafe"}
    assert wrong(link(items=(DEVICE,)))["segment device"] == "unsafe"  # its entity set: 250 mA
    assert wrong(link(runs=(run("201 m", "PS-1", "D-1"),))) == {"segment length": "unsafe"}


# --- in a multicore ------------------------------------------------------------------------------


def test_a_multicore_that_does_not_keep_circuits_apart_voids_the_proof():
    runs = tuple(replace(one, number="W") if n == 0 else one for n, one in enumerate(RUNS))
    of = plant(runs=runs, cables=(cable(multicore="other"),))
    uses = (replace(of.circuits[0].sources[0], tag="PS-2"),)
    other = replace(of.circuits[0], tag="S2", sources=uses)
    both = replace(of, circuits=(of.circuits[0], other))
    assert ss.assess(both)["S"].verdict is ss.Verdict.UNPROVEN


# --- what is taken away --------------------------------------------------------------------------


@pytest.mark.parametrize(
    "of",
    [
        plant(runs=SPURS),
        plant(items=(DEVICE, TERMINATOR, TERMINATOR)),
        plant(items=(DEVICE, device("E", entry("entity", **ENTITY_SET)), TERMINATOR)),
        plant(cables=(cable(C="44 nF/km"),)),
        link(confirmed=False),
        link(runs=(run("201 m", "PS-1", "D-1"),)),
    ],
    ids=["spur", "terminators", "stranger", "cable", "not confirmed", "long link"],
)
def test_no_datum_taken_away_makes_a_segment_safe(of):
    before = ss.assess(of)["S"]
    assert before.verdict is not ss.Verdict.SAFE
    made_safe = set()
    for one in spoiled(of):
        if one.field.endswith("[]"):  # a part taken off is another segment
            continue
        if ss.assess(one.plant)["S"].verdict is ss.Verdict.SAFE:
            made_safe.add(one.name)
    assert made_safe == set()


def test_a_datum_taken_from_a_safe_segment_leaves_it_safe_or_open():
    for one in spoiled(plant()):
        if one.field.endswith("[]"):
            continue
        found = ss.assess(one.plant)["S"]
        assert found.verdict is not ss.Verdict.UNSAFE, (one.name, found.sentence)


def test_a_segment_whose_runs_are_left_out_is_not_proved():
    """A list that was left out is no proof of no cable."""
    whole = plant()
    (circuit,) = whole.circuits
    finding = ss.assess(replace(whole, circuits=(replace(circuit, runs=()),)))[circuit.tag]
    assert finding.verdict.word == "unproven"
