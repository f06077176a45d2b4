"""Types of source that note what is read of them: nothing is shared that was told apart."""

from __future__ import annotations

import threading

import subspark as ss
from subspark.choose.watched import Shared, Watched
from subspark.model import Output

KINDS = [
    ss.SourceType(name="A", maker="Ohm & Sons", outputs=(Output(Uo="10 V"),)),  # type: ignore[arg-type]
    ss.SourceType(name="B", maker="Ohm & Sons", outputs=(Output(Uo="12 V"),)),  # type: ignore[arg-type]
    ss.SourceType(name="C", maker="Volta", outputs=(Output(Uo="10 V"),)),  # type: ignore[arg-type]
]


def asked_of(watched: Watched, answer) -> tuple[list[str], Shared]:
    asked: list[str] = []

    def of(place: int) -> object:
        copy = watched.copies[KINDS[place].name]
        asked.append(KINDS[place].name)
        return answer(copy)

    return asked, Shared(watched, of)


def test_what_was_not_read_is_shared_over() -> None:
    watched = Watched(KINDS)
    asked, shared = asked_of(watched, lambda copy: copy.maker)
    found = [shared.of(place, one.name, "") for place, one in enumerate(KINDS)]
    assert found == ["Ohm & Sons", "Ohm & Sons", "Volta"]
    assert asked == ["A", "C"]


def test_what_is_read_only_of_some_is_told_apart_there() -> None:
    """The second reads on where the first stopped, and is shared with those that agree in both."""
    watched = Watched(KINDS)

    def answer(copy: ss.SourceType) -> object:
        return copy.outputs[0].Uo.si if copy.maker == "Ohm & Sons" else "no"

    asked, shared = asked_of(watched, answer)
    found = [shared.of(place, one.name, "") for place, one in enumerate(KINDS)]
    assert found == [10.0, 12.0, "no"]
    assert asked == ["A", "B", "C"]


def test_what_is_apart_is_not_shared() -> None:
    watched = Watched(KINDS)
    asked, shared = asked_of(watched, lambda copy: copy.maker)
    for place, one in enumerate(KINDS[:2]):
        shared.of(place, one.name, place)
    assert asked == ["A", "B"]


def test_another_thread_that_reads_in_between_takes_nothing_away() -> None:
    watched = Watched(KINDS)
    _, other = asked_of(watched, lambda copy: copy.name)

    def answer(copy: ss.SourceType) -> object:
        volts = copy.outputs[0].Uo.si
        between = threading.Thread(target=other.of, args=(2, "C", ""))
        between.start()
        between.join()
        return volts

    asked, shared = asked_of(watched, answer)
    assert [shared.of(place, one.name, "") for place, one in enumerate(KINDS)] == [10.0, 12.0, 10.0]
    assert asked == ["A", "B"]


def test_a_noting_copy_is_a_source_like_any_other() -> None:
    copy = Watched(KINDS).copies["A"]
    assert isinstance(copy, ss.SourceType)
    assert (copy.name, copy.maker, copy.outputs) == ("A", "Ohm & Sons", KINDS[0].outputs)
