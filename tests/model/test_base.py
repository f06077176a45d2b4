"""Records: frozen, checked when built, equal and hashable by content, with a digest.

Source: own engineering. What may be declared "not limiting" or "negligible" follows IEC 60079-11
marking, from memory.
"""

import copy
import dataclasses
import hashlib
import pickle
import typing

import pytest

from subspark import model
from subspark.errors import InputError, SubsparkError
from subspark.model import (
    ApparatusType,
    Area,
    Atmosphere,
    CableType,
    Certificate,
    Circuit,
    Condition,
    Datum,
    Declaration,
    Entry,
    Limits,
    Mark,
    Member,
    Output,
    Pair,
    Plant,
    Port,
    Record,
    Run,
    SimpleType,
    SourceType,
    SourceUse,
    TemperatureRow,
    content,
    digest,
)
from subspark.quantity import Evidence, Gauge, Temperature, TemperatureRange, Value, Voltage

RECORDS = [
    one
    for one in vars(model).values()
    if isinstance(one, type) and issubclass(one, Record) and one is not Record
]
REQUIRED: dict[type[Record], dict[str, object]] = {
    Area: {"tag": "A"},
    Certificate: {"number": "C"},
    Condition: {"text": "t"},
    Declaration: {"fact": "segregation", "value": "50 mm"},
    TemperatureRow: {"temperature": "T4"},
    Datum: {"what": "lift-off voltage", "value": "10.5 V"},
}


def must_have(kind: type[Record]) -> dict[str, object]:
    """What a record of that kind cannot do without."""
    one = least(kind)
    return {
        field.name: getattr(one, field.name)
        for field in dataclasses.fields(kind)  # type: ignore[arg-type]
        if field.default is dataclasses.MISSING
    }


def least(kind: type[Record]) -> Record:
    """A record with what it must have and nothing else."""
    given = dict(REQUIRED.get(kind, {}))
    for one in dataclasses.fields(kind):  # type: ignore[arg-type]
        if one.default is dataclasses.MISSING and one.name not in given and one.init:
            hint = typing.get_type_hints(kind)[one.name]
            given[one.name] = "x" if hint is str else least(hint)
    return kind(**given)


@pytest.mark.parametrize("kind", RECORDS, ids=lambda one: one.__name__)
def test_records_are_frozen_and_hashable_by_content(kind):
    one, other = least(kind), least(kind)
    assert one == other
    assert hash(one) == hash(other)
    assert {one: 1}[other] == 1
    assert copy.deepcopy(one) == one
    assert pickle.loads(pickle.dumps(one)) == one  # noqa: S301 - our own bytes
    for field in dataclasses.fields(one):
        with pytest.raises((dataclasses.FrozenInstanceError, AttributeError)):
            setattr(one, field.name, "y")
    with pytest.raises((dataclasses.FrozenInstanceError, AttributeError, TypeError)):
        one.not_a_field = "y"


OTHERS: dict[object, object] = {
    str: "other",
    bool: True,
    Evidence: Evidence(document="other"),
    TemperatureRange: "-1 to 1 °C",
    Temperature: "20 °C",
    Gauge: "18 AWG",
}


OTHERS_OF: dict[tuple[type[Record], str], object] = {
    (Datum, "what"): "working voltage",
    (Datum, "value"): "9 V",
    (Datum, "at"): "20 mA",
    (CableType, "colours"): ("BU",),
}


def other_value(hint: object, default: object) -> object:
    """A value that a field may hold and does not hold by default."""
    if hint in OTHERS:
        return OTHERS[hint]
    if typing.get_origin(hint) is typing.Literal:
        return next(one for one in typing.get_args(hint) if one not in ("", default))
    if typing.get_origin(hint) is tuple:
        item = typing.get_args(hint)[0]
        kind = (typing.get_args(item) or (item,))[0]
        return ("other",) if kind is str else (least(kind),)
    if isinstance(hint, type):
        return dataclasses.replace(least(hint), title="b") if hint is Area else "0"
    return 7


@pytest.mark.parametrize("kind", RECORDS, ids=lambda one: one.__name__)
def test_the_digest_changes_with_any_field(kind):
    hints = typing.get_type_hints(kind)
    one = least(kind)
    seen = {digest(one): "nothing"}
    assert digest(least(kind)) in seen
    for field in dataclasses.fields(one):
        if not field.init:
            continue
        value = other_value(hints[field.name], field.default)
        value = OTHERS_OF.get((kind, field.name), value)
        if hints[field.name] is CableType:
            value = CableType(name="other")
        try:
            changed = dataclasses.replace(one, **{field.name: value})
        except SubsparkError:  # a plant that would refer to something that is not there
            assert kind is Plant, field.name
            continue
        assert changed != one, field.name
        assert digest(changed) not in seen, (field.name, seen.get(digest(changed)))
        seen[digest(changed)] = field.name


def test_the_digest_is_of_the_content_and_stands():
    """SHA-256 of the plain content, pinned: a change of it would break what is stored."""
    one = Port(name="supply", Um=Voltage("250 V", Evidence(document="sheet", page="1")))
    plain = {"Um": {"text": "250 V", "evidence": {"document": "sheet", "page": "1"}}}
    assert content(one) == plain
    text = '{"Um":{"evidence":{"document":"sheet","page":"1"},"text":"250 V"}}'
    assert digest(one) == hashlib.sha256(text.encode()).hexdigest()


def test_evidence_counts_to_the_content():
    one = Port(Um=Voltage("250 V", Evidence(document="a")))
    other = Port(Um=Voltage("250 V", Evidence(document="b")))
    assert one != other
    assert digest(one) != digest(other)


def test_texts_and_numbers_become_quantities():
    one = Entry(Ui="30 V", Ii=0.12, Pi=None, Ci="negligible")
    assert (one.Ui.si, one.Ii.si, one.Ii.text, one.Ci.state) == (30.0, 0.12, "120 mA", "negligible")
    assert not one.Pi.known
    assert Area(tag=" A  1 ").tag == "A 1"
    assert Run(length=350).length.text == "350 m"


def test_one_thing_stands_for_a_list_of_one():
    assert Area(tag="A", atmospheres=Atmosphere(zone="1")).atmospheres == (Atmosphere(zone="1"),)
    assert Area(tag="A", atmospheres=[Atmosphere(zone="1")]).atmospheres[0].zone == "1"
    assert Atmosphere(substances="Methane").substances == ("Methane",)
    assert Area(tag="A", atmospheres=None).atmospheres == ()


NUMBER = "wanted a number with its unit, or blank where it is not known"
LOWEST = "wanted the lowest value, or blank where it is not known"


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: Area(tag=""), "Area, tag: blank; wanted a text"),
        (lambda: Area(tag="  "), "Area, tag: blank; wanted a text"),
        (lambda: Area(tag=5), "Area, tag: 5 is a int; wanted a text"),
        (
            lambda: Atmosphere(zone="3"),
            "Atmosphere, zone: '3' is not one of '0', '1', '2', '20', '21', '22', 'Division 1'",
        ),
        (
            lambda: Area(tag="A", hybrid="perhaps"),
            "Area 'A', hybrid: 'perhaps' is not one of 'yes', 'no' or blank",
        ),
        (
            lambda: Entry(Ui="30"),
            "Entry, Ui: '30': a unit is missing; wanted a voltage with its unit, such as 28 V",
        ),
        (
            lambda: Entry(Ui="not limiting"),
            f"Entry, Ui: 'not limiting' can be declared of Ii and Pi only; {NUMBER}",
        ),
        (
            lambda: Output(Io="negligible"),
            "Output '1', Io: 'negligible' can be said of a capacitance or inductance only; wanted",
        ),
        (
            lambda: CableType(name="K", R_loop="≤ 24.2 ohm/km"),
            f"CableType 'K', R_loop: '≤ 24.2 ohm/km' is an upper bound; {LOWEST}",
        ),
        (
            lambda: CableType(name="K", coverage=float("nan")),
            "CableType 'K', coverage: nan is not a finite number",
        ),
        (
            lambda: CableType(name="K", cores="two"),
            "CableType 'K', cores: 'two' is a str; wanted int or NoneType",
        ),
        (
            lambda: CableType(name="K", cores=True),
            "CableType 'K', cores: True is a bool; wanted int",
        ),
        (
            lambda: Member(apparatus="T", temporary="yes"),
            "Member, temporary: 'yes' is a str; wanted bool",
        ),
        (
            lambda: Area(tag="A", atmospheres=("zone 1",)),
            "Area 'A', atmospheres: 'zone 1' is a str; wanted Atmosphere",
        ),
        (
            lambda: Declaration(fact="weather", value="fine"),
            "Declaration, fact: 'weather' is not one of 'safe side voltage'",
        ),
    ],
)
def test_a_message_names_record_field_value_and_what_is_wanted(build, message):
    with pytest.raises(InputError) as caught:
        build()
    assert str(caught.value).startswith(message)


QUANTITIES = [
    (kind, name)
    for kind in RECORDS
    for name, hint in typing.get_type_hints(kind).items()
    if isinstance(hint, type) and issubclass(hint, Value) and hint is not Gauge
]


@pytest.mark.parametrize(
    ("kind", "name"), QUANTITIES, ids=lambda one: getattr(one, "__name__", one)
)
def test_only_ii_and_pi_may_be_declared_not_limiting(kind, name):
    """Never a demand, never Ui, Co, Lo or Um (IEC 60079-11 marking, from memory)."""
    given = must_have(kind)
    allowed = name in ("Ii", "Pi")
    if allowed:
        assert getattr(kind(**{**given, name: "not limiting"}), name).state == "not limiting"
    else:
        with pytest.raises(InputError, match="'not limiting' can be declared of Ii and Pi only"):
            kind(**{**given, name: "not limiting"})


@pytest.mark.parametrize(
    ("kind", "name"), QUANTITIES, ids=lambda one: getattr(one, "__name__", one)
)
def test_no_quantity_is_negative(kind, name):
    """Magnitudes only; temperatures alone have a sign (own engineering)."""
    hint = typing.get_type_hints(kind)[name]
    given = must_have(kind)
    if hint is Temperature:
        assert getattr(kind(**{**given, name: "-20 °C"}), name).si == -20.0
        return
    unit = getattr(kind(**{**given, name: 1.0}), name).text.partition(" ")[2]
    with pytest.raises(InputError, match="negative"):
        kind(**{**given, name: f"-1 {unit}"})


def test_only_what_is_lumped_may_be_negligible():
    """Ci and Li of certificates; a negligible Rth or length would be a guess (own engineering)."""
    for build in (
        lambda: SimpleType(name="P", Rth="negligible"),
        lambda: SimpleType(name="P", surface="negligible"),
        lambda: Run(length="negligible"),
        lambda: Member(apparatus="T", process="negligible"),
        lambda: Output(Uo="negligible"),
        lambda: Output(Po="negligible"),
    ):
        with pytest.raises(InputError, match="'negligible' can be said of"):
            build()
    assert Limits(Co="negligible").Co.si == 0.0  # a limit of zero, which nothing meets
    assert Pair(Lo="negligible").Lo.si == 0.0


@pytest.mark.parametrize("field", ["R_loop", "R_core", "strand", "test_voltage", "insulation"])
def test_an_upper_bound_is_no_lowest_value(field):
    """The resistances of IEC 60228 are printed as maxima (from memory)."""
    text = {"R_loop": "24 ohm/km", "R_core": "12 ohm/km", "test_voltage": "500 V"}.get(
        field, "1 mm"
    )
    assert getattr(CableType(name="K", **{field: text}), field).text == text
    for bound in ("<", "≤", "<=", " ≤"):
        with pytest.raises(InputError, match="is an upper bound"):
            CableType(name="K", **{field: f"{bound} {text}"})


def test_marks_hold_what_a_label_says():
    one = Mark(level="ia", group="IIC", epl="Ga", temperature="T4", ambient="-20 to 60 °C")
    assert one.ambient.high == 60.0
    assert ApparatusType(name="T", entries=Entry(marks=one)).entries[0].marks == (one,)
    assert SourceType(name="S", serves=one).serves == (one,)


def test_a_circuit_holds_its_members_in_order():
    uses = [SourceUse(source="S", tag=tag) for tag in ("2", "1")]
    one = Circuit(tag="X", sources=uses)
    assert [use.tag for use in one.sources] == ["2", "1"]
    assert one != Circuit(tag="X", sources=uses[::-1])
