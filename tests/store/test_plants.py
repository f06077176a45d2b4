"""Plants in the database: whole changes or none, nothing lost, every verdict that of the whole."""

from __future__ import annotations

import threading
from dataclasses import replace

import pytest

import webplants
from subspark.assess import assess
from subspark.errors import PlantError, UsageError
from subspark.model import Area


@pytest.fixture
def plant():
    return webplants.stored()


def _edit(plant, tag, length):
    from subspark.store.plants import Edit

    circuit = webplants.circuit(plant, tag)
    kept = circuit.runs[0].length
    first = replace(circuit.runs[0], length=type(kept)(length, kept.evidence))
    changed = replace(circuit, runs=(first, *circuit.runs[1:]))
    return Edit(("circuits", tag), changed, webplants.version(plant, "circuits", tag))


def _save(plant, *edits, why="measured on site", person=None):
    from subspark.store import plants

    return plants.change(plant.pk, edits, why, person, "" if person else "test")


def _rows(plant):
    from subspark.store.models import VerdictRow

    return {
        one.tag: (one.verdict, one.governing, one.utilisation)
        for one in VerdictRow.objects.filter(plant=plant)
    }


def _judged(plant):
    from subspark.store import plants

    return {
        one.tag: (int(one.verdict), one.governing, one.utilisation)
        for one in assess(plants.whole(plant.pk)).summaries()
    }


def test_a_plant_comes_out_as_it_went_in():
    from subspark.store import holding, plants

    row = webplants.stored(webplants.demo())
    assert plants.whole(row.pk).digest == webplants.demo().digest
    assert _rows(row) == _judged(row)
    holding._SLOTS.clear()  # as another process sees it
    assert plants.whole(row.pk).digest == webplants.demo().digest


def test_a_change_is_kept_with_who_why_and_what_was_before(plant):
    from subspark.store import history
    from subspark.store.models import ChangeRow

    someone = webplants.person(plant, "engineer")
    done = _save(plant, _edit(plant, "AT-4091", "40 m"), person=someone)
    row = ChangeRow.objects.get(plant=plant, revision=done.revision)
    assert (row.by, row.why, row.records) == (someone.name, "measured on site", 1)
    (one,) = history.altered(row)
    (line,) = one.differences
    assert line.path.startswith("runs 1.length")
    assert (line.before, line.after) == ("180 m", "40 m")
    assert webplants.version(plant, "circuits", "AT-4091") == 2


def test_the_register_follows_a_change_at_once(plant):
    before = _rows(plant)
    assert before["AT-4091"][:2] == (3, "capacitance")
    _save(plant, _edit(plant, "AT-4091", "40 m"))
    after = _rows(plant)
    assert after["AT-4091"][0] == 1
    assert after == _judged(plant)


def test_a_change_of_the_catalogue_renews_every_circuit_that_leans_on_it(plant):
    from subspark.store.plants import Edit

    source = webplants.circuit(plant, "AT-4091").sources[0].source
    kind = next(one for one in webplants.small().sources if one.name == source)
    weaker = replace(kind, outputs=tuple(replace(one, Uo="40 V") for one in kind.outputs))
    done = _save(plant, Edit(("sources", source), weaker, 1))
    assert done.touched > 1
    assert _rows(plant)["AT-4091"][0] == 3
    assert _rows(plant) == _judged(plant)


def test_the_second_writer_is_shown_both_versions(plant):
    from subspark.store import plants

    first, second = _edit(plant, "AT-4091", "40 m"), _edit(plant, "AT-4091", "60 m")
    _save(plant, first, why="by the first")
    with pytest.raises(plants.ConflictError, match="by the first") as told:
        _save(plant, second)
    assert told.value.version == 2
    assert told.value.theirs.runs[0].length.text == "40 m"
    assert webplants.circuit(plant, "AT-4091").runs[0].length.text == "40 m"


def test_a_record_that_was_removed_meanwhile_is_a_conflict_too(plant):
    from subspark.store import plants
    from subspark.store.plants import Edit

    second = _edit(plant, "AT-4091", "60 m")
    _save(plant, Edit(("circuits", "AT-4091"), None, 1))
    assert "AT-4091" not in _rows(plant)
    with pytest.raises(plants.ConflictError) as told:
        _save(plant, second)
    assert told.value.theirs is None


def test_a_change_that_would_break_the_plant_changes_nothing(plant):
    from subspark.store.plants import Edit

    source = webplants.circuit(plant, "AT-4091").sources[0].source
    before = _rows(plant)
    with pytest.raises(PlantError, match="is used by"):
        _save(plant, Edit(("sources", source), None, 1), _edit(plant, "PT-1101", "1 m"))
    plant.refresh_from_db()
    assert plant.revision == 1
    assert _rows(plant) == before


def test_outputs_of_one_device_are_not_given_to_two_circuits(plant):
    from subspark.store.plants import Edit

    one, two = (webplants.circuit(plant, tag) for tag in ("PT-1101", "AT-4091"))
    stolen = replace(two, sources=(replace(one.sources[0]),))
    with pytest.raises(PlantError, match="uses that output too"):
        _save(plant, Edit(("circuits", "AT-4091"), stolen, 1))


@pytest.mark.parametrize(
    ("why", "edits", "message"),
    [
        ("  ", True, "wants its reason"),
        ("nothing", False, "nothing was changed"),
    ],
)
def test_a_change_wants_a_reason_and_something_changed(plant, why, edits, message):
    length = "40 m" if edits else "180 m"
    with pytest.raises(UsageError, match=message):
        _save(plant, _edit(plant, "AT-4091", length), why=why)


def test_a_name_with_a_character_that_cannot_be_kept_is_refused(plant):
    from subspark.store.plants import Edit

    for tag in ("A\x00B", "A\ud800", "x" * 301):
        with pytest.raises(UsageError):
            _save(plant, Edit(("areas", tag), Area(tag=tag), 0))


def test_the_chain_of_changes_shows_what_was_tampered_with(plant):
    from subspark.store import plants
    from subspark.store.models import ChangeRow, VersionRow

    _save(plant, _edit(plant, "AT-4091", "40 m"))
    assert plants.verify(plant.pk) == []
    row = VersionRow.objects.filter(change__plant=plant, entry__name="AT-4091").first()
    VersionRow.objects.filter(pk=row.pk).update(content=row.content.replace("180 m", "18 m"))
    assert plants.verify(plant.pk) == ["change 1: circuits AT-4091 is not as it was saved"]
    VersionRow.objects.filter(pk=row.pk).update(content=row.content)
    ChangeRow.objects.filter(plant=plant, revision=1).update(why="another story")
    assert "change 1 is not as it was written" in plants.verify(plant.pk)


def test_what_is_not_judged_yet_counts_as_unproven_until_it_is(plant, monkeypatch):
    from subspark.store import plants, register, verdicts

    monkeypatch.setattr(plants, "INLINE", 0)
    monkeypatch.setattr(verdicts, "BLOCK", 3)
    done = _save(plant, _edit(plant, "PT-1101", "1 m"))
    assert done.waiting == done.touched > 0
    assert _rows(plant)["PT-1101"] == (2, "", None)
    assert register.counts(plant.pk)["safe"] < len(_rows(plant))
    told = []
    plants.rejudge(plant.pk, lambda now, of: told.append((now, of)))
    assert told[-1] == (done.waiting, done.waiting)
    assert _rows(plant) == _judged(plant)


def test_another_plant_in_place_of_this_one_changes_only_what_differs(plant):
    from subspark.store import plants

    other = webplants.small()
    changed = replace(other.circuits[0], service="another service")
    other = replace(other, circuits=(changed, *other.circuits[2:]))
    edits = plants.replacing(plant.pk, other, remove=False)
    assert [one.key for one in edits] == [("circuits", changed.tag)]
    edits = plants.replacing(plant.pk, other, remove=True)
    gone = [one.key for one in edits if one.record is None]
    assert gone == [("circuits", webplants.small().circuits[1].tag)]
    _save(plant, *edits)
    assert plants.whole(plant.pk).digest == other.digest


def test_what_was_taken_back_leaves_nothing_in_memory(plant):
    from django.db import transaction

    from subspark.store import plants

    class TakenBackError(Exception):
        pass

    def taken_back():
        with transaction.atomic():
            _save(plant, _edit(plant, "AT-4091", "40 m"))
            assert webplants.circuit(plant, "AT-4091").runs[0].length.text == "40 m"
            raise TakenBackError

    with pytest.raises(TakenBackError):
        taken_back()
    # Others change the plant before it is looked at again: once, then twice.
    for length in ("1 m", "2 m"):
        _save_elsewhere(plant, length)
    assert webplants.circuit(plant, "AT-4091").runs[0].length.text == "180 m"
    assert _rows(plant) == _judged(plant)
    with pytest.raises(TakenBackError):
        taken_back()
    assert webplants.circuit(plant, "AT-4091").runs[0].length.text == "180 m"
    assert plants.verify(plant.pk) == []


def _save_elsewhere(plant, length):
    """As another process saves: with a memory of its own."""
    from subspark.store import holding

    kept = dict(holding._SLOTS)
    holding._SLOTS.clear()
    _save(plant, _edit(plant, "PT-1101", length))
    holding._SLOTS.clear()
    holding._SLOTS.update(kept)


def test_many_writers_at_once_lose_nothing(plant):
    """Each of four threads adds its metres to two circuits, again wherever it was too late."""
    from django.db import connections

    from subspark.store import plants

    failed = []

    def work():
        try:
            for tag in ("PT-1101", "PT-1102", "PT-1101", "PT-1102"):
                while True:
                    now = webplants.circuit(plant, tag).runs[0].length.si
                    try:
                        _save(plant, _edit_to(plant, tag, now))
                        break
                    except plants.ConflictError:
                        continue
        except Exception as error:  # noqa: BLE001 - told below
            failed.append(error)
        finally:
            connections.close_all()

    before = {
        tag: webplants.circuit(plant, tag).runs[0].length.si for tag in ("PT-1101", "PT-1102")
    }
    threads = [threading.Thread(target=work) for _ in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert not failed
    for tag, metres in before.items():
        assert webplants.circuit(plant, tag).runs[0].length.si == metres + 8
        assert webplants.version(plant, "circuits", tag) == 9
    assert plants.verify(plant.pk) == []
    assert _rows(plant) == _judged(plant)


def _edit_to(plant, tag, now):
    """One metre more than was read; the version is that of the reading, as a form sends it."""
    from subspark.store.models import EntryRow
    from subspark.store.plants import Edit

    row = EntryRow.objects.get(plant=plant, kind="circuits", name=tag)
    circuit = webplants.circuit(plant, tag)
    first = replace(circuit.runs[0], length=f"{now + 1:g} m")
    if circuit.runs[0].length.si != now:
        return Edit(("circuits", tag), replace(circuit, runs=(first, *circuit.runs[1:])), 0)
    return Edit(("circuits", tag), replace(circuit, runs=(first, *circuit.runs[1:])), row.version)
