"""What is taken away never makes a circuit safe: every datum blanked, one at a time.

Source: own engineering, after the rule that an unknown is never safe. The circuits are those of the
demo plant, few of which use everything that it has.

A field after whose blanking a circuit stays safe is in one of two lists, each with its reason.
Whoever adds a field that turns up here must judge it: is it asked for, or may it be missing?
"""

from __future__ import annotations

import functools
from collections import defaultdict

import pytest

from assess.spoiling import Spoiled, covering, cut_out, spoiled
from subspark.assess import assess
from subspark.demo import FAULTS, build_plant
from subspark.model import Plant

NAMES = "a name, title or evidence: kept and printed, proves nothing by itself"
LATER = "kept for papers and later rules; no rule of this floor asks for it"
WORKS = "of function: it decides whether a circuit works, and nothing of safety"

FREE = {
    "ApparatusType.maker": NAMES,
    "ApparatusType.model": NAMES,
    "SourceType.maker": NAMES,
    "SourceType.model": NAMES,
    "Area.title": NAMES,
    "Junction.title": NAMES,
    "Plant.name": NAMES,
    "Circuit.service": NAMES,
    "Circuit.document": NAMES,
    "Circuit.revision": NAMES,
    "Member.tag": NAMES,
    "SourceUse.tag": NAMES,
    "Certificate.issue": NAMES,
    "ApparatusType.evidence": NAMES,
    "Area.evidence": NAMES,
    "Atmosphere.evidence": NAMES,
    "CableType.evidence": NAMES,
    "Certificate.evidence": NAMES,
    "Circuit.evidence": NAMES,
    "Condition.evidence": NAMES,
    "Junction.evidence": NAMES,
    "SimpleType.evidence": NAMES,
    "SourceType.evidence": NAMES,
    "Declaration.evidence": "asked only where Um is below 250 V, or an EPL below that of the zone",
    "CableType.insulation": LATER,
    "Run.as_built": LATER,
    "SourceType.function[]": WORKS,
    "ApparatusType.function[]": WORKS,
    "SimpleType.function[]": WORKS,
    "Circuit.function[]": WORKS,
    "CableType.function[]": "price and status: for choosing, of no rule",
    "Datum.at": WORKS,
    "Datum.part": WORKS,
    "Datum.evidence": WORKS,
    "CableType.R_core_max": WORKS,
    "CableType.R_loop_max": WORKS,
    "CableType.conductor": WORKS,
    "CableType.tinned": WORKS,
    "Certificate.status": "only 'withdrawn' says something; blank is an ordinary certificate",
}
"""Fields that change nothing when they are blank."""

OTHERS = "another column, pair, row, output or alternative of the same document is used"
WHOLE = "a list is taken for complete: what was never entered is not known to be missing"
OWN = "blank means the circuit's own area, where its apparatus stands"
DECLARED = "a declaration for the plant says the same"
DEFAULT = "the default of the standard takes its place, shown as an assumption"
CAUTIOUS = "the worse of what it can be is taken"
ROUTE = "needed for one of two ways of proof; the other one holds"

LEANS = {
    "ApparatusType.entries[]": OTHERS,
    "Entry.Ui": OTHERS,
    "Entry.Ii": OTHERS,
    "Entry.Pi": OTHERS,
    "Entry.Ci": OTHERS,
    "Entry.Li": OTHERS,
    "Entry.mark": OTHERS,
    "Entry.connection": OTHERS,
    "Entry.rows[]": OTHERS,
    "TemperatureRow.Pi": "the row is then worth no more than the mark, which suffices here",
    "TemperatureRow.ambient": "the row is then worth no more than the mark, which suffices here",
    "Limits.Co": OTHERS,
    "Limits.Lo": OTHERS,
    "Limits.Lo_Ro": ROUTE,
    "Limits.group": OTHERS,
    "Limits.level": OTHERS,
    "Limits.pairs[]": OTHERS,
    "Limits.together": OTHERS,
    "Pair.Co": OTHERS,
    "Pair.Lo": OTHERS,
    "Output.limits[]": OTHERS,
    "Output.Uo": OTHERS,
    "Output.Io": OTHERS,
    "Output.no_current": OTHERS,
    "SourceType.outputs[]": OTHERS,
    "Output.Po": "taken as Uo x Io, four times that of a linear output",
    "Output.shape": "counts as not linear: undecided only where both L and C are lumped",
    "Output.polarity": CAUTIOUS,
    "Output.Ci": "printed limits have the source's own taken off already",
    "Output.Li": "printed limits have the source's own taken off already",
    "SourceType.isolation": "proved both ways: one earthed point, and a barrier earth declared",
    "SourceType.ambient": "nothing marked is -20 to 40 °C by IEC 60079-0 5.1.1",
    "SourceType.ports[]": WHOLE,
    "Port.name": "the port is asked all the same",
    "SourceUse.place": DECLARED,
    "Area.atmospheres[]": WHOLE,
    "Atmosphere.substances[]": WHOLE,
    "Atmosphere.temperature": "asked only where an apparatus stands in that area",
    "Atmosphere.cloud_ignition": "asked only where an apparatus stands in that area",
    "Atmosphere.layer_ignition": "asked only where an apparatus stands in that area",
    "CableType.C": DEFAULT,
    "CableType.C_core": DEFAULT,
    "CableType.L": DEFAULT,
    "CableType.L_R": ROUTE,
    "CableType.R_core": ROUTE,
    "CableType.R_loop": ROUTE,
    "CableType.section": ROUTE,
    "CableType.cores": "asked only where a default is to be used",
    "CableType.coverage": "asked only of a multicore of type A",
    "CableType.multicore": "then merged with the circuits beside it, and still proved",
    "CableType.pairs": "asked only where the cable bears no number",
    "CableType.screen": CAUTIOUS,
    "Run.screen": CAUTIOUS,
    "CableType.strand": DECLARED,
    "CableType.test_voltage": DECLARED,
    "CableType.rated_temperature": DECLARED,
    "Certificate.suffix": "the number itself bears the X",
    "Mark.epl": "follows from level and group",
    "ApparatusType.powered": "its energy is within 1.5 V, 100 mA, 25 mW by its document",
    "SimpleType.Rth": "T4 by power from 20 mm2 up, or dust: shown in another way",
    "SimpleType.surface": "then the class limit, which is not above the relaxed one",
    "SimpleType.hottest_surface": "asked only in dust and mines",
    "SimpleType.isolation": DECLARED,
    "Member.connection": "its sets are all of one connection",
    "Member.process": "blank: no warmer than the air",
    "Member.temporary": "then it counts as fixed",
    "Run.area": OWN,
    "Junction.area": OWN,
    "Plant.junctions[]": OWN,
    "Run.start": OWN,
    "Run.end": OWN,
    "Run.number": "asked of multicores only: an ordinary cable is not shared",
    "Circuit.members[]": "not a datum: there is one apparatus less",
    "Circuit.runs[]": "not a datum: there is one cable less",
    "Plant.declarations[]": "answered by the records themselves, or not asked of this circuit",
}
"""Fields that may be blank where something else proves the same."""

NEWER = (
    "ApparatusType.surge",
    "Circuit.joined",
    "Circuit.method",
    "Circuit.sources[]",
    "Circuit.system",
    "SourceType.separated",
    "SourceType.terminals_of",
)
"""What came with other ways of proof, and is judged where these are tested."""


def ordinary(plant: Plant, tag: str) -> bool:
    """Whether a circuit is proved as one source and its load, by its own figures."""
    circuit = plant.circuit(tag)
    sources = {one.name: one for one in plant.sources}
    plain = circuit.method == "entity" and not circuit.system and len(circuit.sources) == 1
    return plain and not any(sources[use.source].terminals_of for use in circuit.sources)


@functools.cache
def demo() -> Plant:
    return build_plant()


@functools.cache
def outcomes() -> dict[str, list[tuple[str, str, Spoiled, bool]]]:
    """By field: circuit, verdict, what was taken away, and whether nothing changed at all."""
    plant = demo()
    kept = {
        one.tag
        for one in assess(plant).summaries()
        if one.verdict.word == "safe" and ordinary(plant, one.tag)
    }
    found: dict[str, list[tuple[str, str, Spoiled, bool]]] = defaultdict(list)
    for circuit in covering(plant, kept):
        small = cut_out(plant, circuit)
        before = next(assess(small, [circuit.tag]).summaries())
        assert before.verdict.word == "safe", circuit.tag
        for one in spoiled(small):
            if circuit.tag not in {kept.tag for kept in one.plant.circuits}:
                continue
            after = next(assess(one.plant, [circuit.tag]).summaries())
            same = (after.verdict, after.governing, after.utilisation) == (
                before.verdict,
                before.governing,
                before.utilisation,
            )
            found[one.name].append((circuit.tag, after.verdict.word, one, same))
    return found


def test_a_blanked_datum_leaves_a_circuit_safe_only_where_a_reason_is_stated():
    """Every field of every record that a circuit uses, and every record of a list."""
    still_safe = {
        name: [(tag, one.path) for tag, verdict, one, _ in cases if verdict == "safe"][:3]
        for name, cases in outcomes().items()
        if any(verdict == "safe" for _, verdict, _, _ in cases)
    }
    not_judged = {
        name: cases
        for name, cases in still_safe.items()
        if name not in FREE and name not in LEANS and name not in NEWER
    }
    assert not_judged == {}


@pytest.mark.parametrize("name", sorted(FREE))
def test_what_proves_nothing_changes_nothing(name):
    cases = outcomes()[name]
    assert cases, "no circuit has it any more"
    assert [(tag, one.path) for tag, _, one, same in cases if not same] == []


ASKED = (
    "ApparatusType.certificate",
    "Area.ambient",
    "Atmosphere.group",
    "Atmosphere.zone",
    "Circuit.area",
    "Condition.answered",
    "Mark.group",
    "Mark.level",
    "Mark.temperature",
    "Port.Um",
    "PortSupply.evidence",
    "PortSupply.voltage",
    "Run.cable",
    "Run.length",
    "SimpleType.Ci",
    "SimpleType.Li",
    "SimpleType.U",
    "SimpleType.I",
    "SimpleType.P",
    "SimpleType.ambient",
    "SimpleType.assessed",
    "SimpleType.sort",
    "SimpleType.powered",
    "SourceType.certificate",
    "SourceType.mark",
    "CableType.C_screen",
)


@pytest.mark.parametrize("name", ASKED)
def test_what_is_always_asked_is_never_safe_without(name):
    cases = outcomes()[name]
    assert cases
    assert {verdict for _, verdict, _, _ in cases} <= {"unproven", "unsafe"}


def test_no_stated_reason_is_out_of_date():
    """Each field that may be blank turns up, so that the lists stay a description."""
    assert sorted(name for name in LEANS if name not in outcomes()) == []


# What makes a faulty circuit of the demo plant safe when it is taken away: no datum that is
# asked for, but a thing of the circuit, a list taken for complete, or a narrower statement than
# that of the plant.
LOOSENED = {
    "Circuit.members[]": "the apparatus at fault is gone",
    "Circuit.runs[]": "the cable at fault is gone",
    "Circuit.sources[]": "the source at fault is gone",
    "Atmosphere.substances[]": WHOLE,
    "SimpleType.isolation": DECLARED,
    "SourceUse.place": DECLARED,
    "Member.process": "blank: no warmer than the air",
    "Plant.junctions[]": "a box that is not entered is not known to grow warm",
    "Junction.Rth": "a box that states none is not judged by its warmth",
    "ApparatusType.surge": "the word by which it is known for a surge device is gone",
}


def shows_alone(tag: str, verdict: str) -> bool:
    """Whether a fault is there with one circuit beside it, and not only among many."""
    small = cut_out(demo(), demo().circuit(tag))
    return next(assess(small, [tag]).summaries()).verdict.word == verdict


@pytest.mark.parametrize(
    "fault",
    [one for one in FAULTS if ordinary(demo(), one.tag) and shows_alone(one.tag, one.verdict)],
    ids=lambda one: one.tag,
)
def test_nothing_that_is_taken_away_mends_a_fault(fault):
    plant = demo()
    small = cut_out(plant, plant.circuit(fault.tag))
    mended = [
        (one.name, one.path)
        for one in spoiled(small)
        if fault.tag in {kept.tag for kept in one.plant.circuits}
        and next(assess(one.plant, [fault.tag]).summaries()).verdict.word == "safe"
    ]
    assert [one for one in mended if one[0] not in LOOSENED] == []
