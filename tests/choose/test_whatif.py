"""Changes and what they would do: places, edits, the same difference whoever is judged."""

from __future__ import annotations

import dataclasses
import json
from random import Random

import pytest

from small import BASE, plant
from subspark.choose.around import clusters, joined
from subspark.choose.change import Change, apply, edit, place_of, read_change, value_at
from subspark.choose.whatif import touched, what_if
from subspark.demo import build_plant
from subspark.errors import UsageError
from subspark.model import Plant

PLANT = build_plant()


def test_clusters_are_what_is_joined() -> None:
    plant = PLANT
    number = clusters(plant)
    for one in plant.circuits[::9]:
        assert joined(plant, [one.tag]) == {
            tag for tag, at in number.items() if at == number[one.tag]
        }


def test_a_length_turns_one_circuit() -> None:
    """0.65 nF apparatus and 900 m of cable against the Co of PT-1101, as `check` tells it."""
    place = ("circuits", "PT-1101", "runs", "1", "length")
    made = edit(PLANT, place, "900 m")
    assert made.sentence == "circuits / PT-1101 / runs / 1 / length: 210 m becomes 900 m"
    found = what_if(PLANT, [made])
    (one,) = found.differences
    assert one.tag == "PT-1101"
    assert one.worse
    assert one.before is not None
    assert one.after is not None
    assert (one.before.verdict.word, one.after.verdict.word) == ("safe", "unsafe")
    assert one.after.governing == "capacitance"


def test_what_did_not_change_is_shared() -> None:
    made = edit(PLANT, ("circuits", "PT-1101", "runs", "1", "length"), "900 m")
    after = apply(PLANT, [made])
    assert value_at(after, made.place) == "900 m"
    assert value_at(PLANT, made.place)["text"] == "210 m"
    back = apply(after, [edit(after, made.place, made.before)])
    assert back == PLANT
    assert back.digest == PLANT.digest
    same = sum(one is other for one, other in zip(PLANT.circuits, after.circuits, strict=True))
    assert same == len(PLANT.circuits) - 1
    assert after.sources[0] is PLANT.sources[0]


def test_an_area_reclassified_touches_the_circuits_that_enter_it() -> None:
    number = next(
        str(i)
        for one in PLANT.areas
        if one.tag == "RAW-1"
        for i, atmosphere in enumerate(one.atmospheres, 1)
        if atmosphere.group == "IIB"
    )
    made = edit(PLANT, ("areas", "RAW-1", "atmospheres", number, "group"), "IIC")
    found = what_if(PLANT, [made])
    assert 0 < found.judged < len(PLANT.circuits)
    assert found.worse
    assert not found.better
    whole = what_if(PLANT, [made], all_=True)
    assert whole.differences == found.differences


def _random_edit(rng: Random) -> tuple[tuple[str, ...], object]:
    circuit = rng.choice(PLANT.circuits)
    source, cable = rng.choice(PLANT.sources), rng.choice(PLANT.cables)
    item, area = rng.choice(PLANT.apparatus), rng.choice(PLANT.areas)
    run = rng.randint(1, len(circuit.runs))
    choices: list[tuple[tuple[str, ...], object]] = [
        (("circuits", circuit.tag, "runs", str(run), "length"), f"{rng.randint(1, 4000)} m"),
        (("circuits", circuit.tag, "runs", str(run), "number"), rng.choice(("", "W-111"))),
        (("circuits", circuit.tag, "area"), area.tag),
        (("areas", area.tag, "ambient"), rng.choice(("", "-40 to 70 °C"))),
        (("cables", cable.name, "C"), rng.choice(("", "400 pF/m"))),
    ]
    if source.outputs:
        choices.append((("sources", source.name, "outputs", "1", "Uo"), rng.choice(("", "30 V"))))
    if item.entries:
        choices.append((("apparatus", item.name, "entries", "1", "Ui"), rng.choice(("", "5 V"))))
    if item.certificate:
        choices.append((("certificates", item.certificate, "status"), "withdrawn"))
    return rng.choice(choices)


@pytest.mark.parametrize("seed", range(24))
def test_judging_only_what_is_touched_finds_every_difference(seed: int) -> None:
    """Own invariant: the circuits left out are those that a change cannot bear on."""
    place, after = _random_edit(Random(seed))
    try:
        made = edit(PLANT, place, after)
        found = what_if(PLANT, [made])
    except UsageError:
        pytest.fail(f"{place} {after}")
    assert set(touched(PLANT, found.plant)) <= {one.tag for one in PLANT.circuits}
    assert what_if(PLANT, [made], all_=True).differences == found.differences


def test_a_change_is_kept_as_data_and_refused_where_the_plant_has_moved_on() -> None:
    made = edit(PLANT, ("circuits", "PT-1101", "runs", "1", "length"), "900 m")
    change = Change("as measured", PLANT.digest, (made,))
    kept = json.loads(json.dumps(change.as_dict()))
    assert read_change(kept, PLANT) == change
    moved = apply(PLANT, [edit(PLANT, made.place, "205 m")])
    with pytest.raises(UsageError) as told:
        read_change(kept, moved)
    assert str(told.value) == (
        "circuits / PT-1101 / runs / 1 / length: holds 205 m now; the change was made where it "
        "held 210 m"
    )


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({}, "this is no change; wanted a JSON object with format 'subspark change'"),
        ({"format": "subspark change", "version": 9}, "a change of version 9; wanted 1"),
        (
            {"format": "subspark change", "version": 1, "edits": 3},
            "edits of the change: not a list",
        ),
        (
            {"format": "subspark change", "version": 1, "edits": [{"place": 3}]},
            "edit 1 of the change: place is not a list of texts",
        ),
    ],
)
def test_what_is_no_change_is_refused(given: object, said: str) -> None:
    with pytest.raises(UsageError) as told:
        read_change(given)
    assert str(told.value) == said


@pytest.mark.parametrize(
    ("place", "after", "said"),
    [
        (
            "circuits / PT-1101 / runs / 9 / length",
            "1 m",
            (
                "circuits / PT-1101 / runs: '9' is not there; wanted a number from 1 to 2 or one "
                "of W-112, C-PT-1101"
            ),
        ),
        (
            "circuits / PT-1101 / runs / 1 / length",
            "900 F",
            (
                "circuits / PT-1101 / runs / 1 / length: Run, length: '900 F': unit 'F' is not of "
                "a length; wanted a length with its unit, such as 350 m or 1200 ft"
            ),
        ),
        ("circuits / PT-1101", "x", "circuits / PT-1101: wanted a field of it"),
    ],
)
def test_a_bad_edit_gets_one_message(place: str, after: str, said: str) -> None:
    with pytest.raises(UsageError) as told:
        apply(PLANT, [edit(PLANT, place_of(place), after)])
    assert str(told.value) == said


def test_an_empty_plant_has_no_places() -> None:
    with pytest.raises(UsageError) as told:
        value_at(Plant(), ("circuits", "X"))
    assert str(told.value) == "circuits: 'X' is not there; wanted nothing: the list is empty"


def test_an_area_that_only_a_declaration_names_touches_those_whose_sources_stand_there() -> None:
    """The sources stand in Z2 by a declaration for the plant; 70 °C is too warm for them."""
    base = plant(BASE)
    facts = tuple(
        dataclasses.replace(one, value="Z2") if one.fact == "source place" else one
        for one in base.declarations
        if one.fact != "cabinet ambient"
    )
    area = dataclasses.replace(base.areas[1], tag="Z2")
    whole = dataclasses.replace(base, areas=(*base.areas, area), declarations=facts)
    hotter = [edit(whole, place_of("areas / Z2 / ambient"), "-20 to 70 °C")]
    quick, slow = what_if(whole, hotter), what_if(whole, hotter, all_=True)
    assert slow.differences
    assert quick.differences == slow.differences
