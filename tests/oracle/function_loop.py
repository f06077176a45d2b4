"""Loops that feed a device or drive one, in exact fractions, written from the rules' text.

A rule asks for the figures that it needs; where one is not given its answer is not known. What
hangs on a yes or no that nobody told is tried both ways.
"""

# ruff: noqa: E741 - I is the trade's symbol of a current
from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from itertools import pairwise

from oracle.function_figures import Ends, verdict

__all__ = ["Figures", "Points", "multidrop", "output", "powered", "two_wire"]

Points = Sequence[tuple[Fraction, Ends]]
"""A table: current and figure, rising."""
Figures = Mapping[str, Ends | Points | str | None]
Answer = bool | None

SPAN = Fraction(16, 1000)
PEAK = Fraction(5, 10000)
REST = Fraction(10, 10**9)
TIME = Fraction(65, 10**6)
KNEE = 1 - Fraction(20, 1000)
"""Working voltage at 0 degC against 20 degC: 0.1 %/K."""
HOTTER = 4
"""Leakage at 40 degC against 20 degC: it doubles every 10 K."""
ZERO = Fraction(0)


class MissingError(Exception):
    """A figure that a rule needs is not given."""


class Row:
    """The figures of one device and its source."""

    def __init__(self, said: Figures, line: Fraction, farads: Fraction) -> None:
        self.said, self.line, self.farads = said, line, farads

    def ends(self, name: str) -> Ends:
        held = self.said.get(name)
        if not isinstance(held, Ends):
            raise MissingError(name)
        return held

    def low(self, name: str) -> Fraction:
        return self.ends(name).low

    def high(self, name: str) -> Fraction:
        return self.ends(name).high

    def has(self, name: str) -> bool:
        return self.said.get(name) is not None

    def beside(self, name: str, end: str = "high") -> Fraction:
        """A figure of something that need not be there at all."""
        return getattr(self.ends(name), end) if self.has(name) else ZERO

    def flag(self, name: str) -> Answer:
        return {"yes": True, "no": False}.get(str(self.said.get(name)))

    def table(self, name: str) -> Points:
        held = self.said.get(name)
        if held is None or isinstance(held, str):
            raise MissingError(name)
        return [] if isinstance(held, Ends) else held

    def at(self, name: str, I: Fraction, end: str, *, falling: bool = False) -> Fraction:
        """A table, or one figure for every current, at a current."""
        held = self.said.get(name)
        if isinstance(held, Ends):
            return getattr(held, end)
        table = self.table(name)
        if falling and table[0][0] >= I:
            return getattr(table[0][1], end)
        for (a, left), (b, right) in pairwise(table):
            if a <= I <= b:
                share = (I - a) / (b - a)
                first, last = getattr(left, end), getattr(right, end)
                return first + share * (last - first)
        raise MissingError(name)


def ask(rule: Callable[[], Answer]) -> Answer:
    try:
        return rule()
    except MissingError:
        return None


def both_ways(rule: Callable[[bool], Answer], told: Answer) -> Answer:
    """An answer that hangs on a yes or no."""
    if told is not None:
        return ask(lambda: rule(told))
    said = {ask(lambda: rule(True)), ask(lambda: rule(False))}
    return said.pop() if len(said) == 1 else None


def all_of(answers: Sequence[Answer]) -> Answer:
    if False in answers:
        return False
    return None if None in answers else True


def lenient(flag: Answer, rule: Callable[[], Answer]) -> Answer:
    """Asked where the flag says so; where it says nothing, what holds is as good as not asked."""
    if flag is False:
        return True
    said = ask(rule)
    return said if flag or said else None


# --- the source -----------------------------------------------------------------------------------


def behind_return(row: Row) -> Answer:
    """Whether the load stands in the return leg; without a return channel it cannot."""
    if row.has("load") and row.high("load") == 0:
        return False
    told = {"return leg": True, "supply leg": False}.get(str(row.said.get("place")))
    return False if told is None and not two_channel(row) else told


def two_channel(row: Row) -> bool:
    return row.has("back") or row.has("back drop")


def from_barrier(row: Row, I: Fraction, end: str, returned: bool) -> Fraction:
    """Volts behind a barrier and its return; ``end`` low: the fewest."""
    few, many = (end, "high") if end == "low" else (end, "low")
    load, own = getattr(row.ends("load"), many), row.beside("own", many)
    supply = getattr(row.ends("supply"), few)
    if returned and not two_channel(row):
        raise MissingError("return channel")
    if not returned and load > 0:
        supply -= (I + own) * load
    supply -= row.beside("drop", many)
    if row.has("regulated"):
        supply = min(supply, getattr(row.ends("regulated"), few))
    ohms = getattr(row.ends("end-to-end"), many) + row.beside("back", many)
    return supply - I * (ohms + (load if returned else 0)) - row.beside("back drop", many)


def volts(row: Row, I: Fraction) -> Fraction:
    """Fewest volts left at the device."""
    lost = I * (row.line + row.beside("series")) + row.beside("indicator")
    if row.flag("barrier"):
        place = behind_return(row)
        ways = [place] if place is not None else [True, False]
        return min(from_barrier(row, I, "low", way) for way in ways) - lost
    if row.has("curve"):
        return row.at("curve", I, "low", falling=True) - lost
    return row.low("U") - I * row.high("inner") - lost


def most_volts(row: Row, I: Fraction) -> Fraction:
    """Most volts at the device: a cable of which no least ohms are known has none."""
    lost = I * row.beside("series", "low") + row.beside("indicator", "low")
    if row.flag("barrier"):
        place = behind_return(row)
        ways = [place] if place is not None else [True, False]
        return max(from_barrier(row, I, "high", way) for way in ways) - lost
    if row.has("curve"):
        return row.at("curve", I, "high") - lost
    return row.high("U") - I * row.low("inner") - lost


def volts_in(row: Row) -> Fraction:
    """Highest volts that reach the resistor of a barrier."""
    highest = row.high("supply")
    return min(highest, row.high("regulated")) if row.has("regulated") else highest


def feed_answers(row: Row, top: Callable[[], Fraction], *, loaded: bool) -> Iterator[Answer]:
    """What barrier, supply, card and limit of current say. ``loaded``: the load is in the way."""
    if not row.flag("barrier"):
        yield ask(lambda: within_limit(row, top()))
        if loaded:
            yield ask(lambda: drives_load(row, top))
        return
    if not row.has("regulated") or row.has("working"):
        yield ask(lambda: volts_in(row) <= row.low("working") * KNEE)
    yield ask(lambda: row.high("supply") <= row.low("highest"))
    if loaded:
        yield from load_answers(row, top)
    else:
        yield ask(lambda: volts_in(row) / row.low("end-to-end") <= row.low("fuse"))


def load_answers(row: Row, top: Callable[[], Fraction]) -> Iterator[Answer]:
    """Fuse, card and terminal of the return, which hang on where the load stands."""

    def fuse(returned: bool) -> bool:
        load = ZERO if returned else row.low("load")
        return volts_in(row) / (row.low("end-to-end") + load) <= row.low("fuse")

    def card(returned: bool) -> bool:
        load, ohms = row.high("load"), row.low("end-to-end")
        if load == 0:
            return True
        if not returned:
            return row.high("supply") * load / (ohms + load) <= row.low("card")
        left = volts_in(row) - row.beside("back drop", "low")
        return left * load / (ohms + row.beside("back", "low") + load) <= row.low("card")

    def terminal(returned: bool) -> bool:
        if not returned:
            return True
        ohms = row.beside("back") + row.high("load")
        return row.beside("back drop") + top() * ohms <= row.low("return working") * KNEE

    place = behind_return(row)
    yield both_ways(fuse, place)
    yield both_ways(card, place)
    if two_channel(row):
        yield both_ways(terminal, place)


def within_limit(row: Row, I: Fraction) -> Answer:
    if row.has("limit"):
        return row.low("limit") >= I
    if row.has("curve") and row.table("curve")[-1][0] >= I:
        return True
    raise MissingError("limit")


def drives_load(row: Row, top: Callable[[], Fraction]) -> Answer:
    load = row.high("load")
    return True if load == 0 else top() * load <= row.low("compliance")


def hart_answers(row: Row, hart: Answer) -> Iterator[Answer]:
    """HART: ohms across the modem's own port, ohms of the loop, time constant."""
    barrier = row.flag("barrier")
    place = str(row.said.get("HART place") or "")

    def safe_side() -> bool:
        if barrier:
            return row.low("load") >= 230
        passes = row.flag("passes")
        if passes is None:
            raise MissingError("passes")
        return passes and row.low("port" if row.has("port") else "load") >= 230

    def field_side() -> bool:
        return loop("low") >= 230

    def loop(end: str) -> Fraction:
        line = row.line if end == "high" else ZERO
        if not barrier:
            return getattr(row.ends("port"), end) + line + row.beside("series", end)
        ohms = getattr(row.ends("end-to-end"), end) + getattr(row.ends("load"), end)
        return ohms + row.beside("back", end) + line + row.beside("series", end)

    if place == "":
        yield lenient(hart, lambda: lenient(None, safe_side))
    if "safe" in place:
        yield lenient(hart, safe_side)
    if "field" in place:
        yield lenient(hart, field_side)
    yield lenient(hart, lambda: loop("high") <= 1100)
    farads = row.farads + REST
    yield lenient(hart, lambda: loop("high") * (row.high("C") + farads) <= TIME)


# --- kinds ----------------------------------------------------------------------------------------


def two_wire(said: Figures, line: Fraction, farads: Fraction) -> str:
    """Whether a two-wire transmitter works in its loop."""
    row = Row(said, line, farads)
    hart = row.flag("HART")
    start = row.beside("start") if row.has("start") else ZERO

    def lift_off(I: Fraction) -> bool:
        return row.at("need", I, "high") + row.beside("margin") <= volts(row, I)

    def top() -> Fraction:
        if hart is None:
            raise MissingError("HART")
        return max(row.high("high") + (PEAK if hart else 0), start)

    def quiet() -> Fraction:
        return max(row.high("high"), start)

    answers = [ask(lambda: lift_off(row.low("low"))), ask(lambda: lift_off(quiet()))]
    answers.append(lenient(hart, lambda: lift_off(max(row.high("high") + PEAK, start))))
    if row.has("low") and row.has("high"):
        last = max(row.high("high") + (ZERO if hart is False else PEAK), start)
        for name in ("need", "curve"):
            for I, _ in row.table(name) if row.has(name) else []:
                if row.low("low") < I < last:
                    said_there = ask(lambda I=I: lift_off(I))
                    doubted = hart is None and quiet() < I and not said_there
                    answers.append(None if doubted else said_there)
    answers.append(ask(lambda: most_volts(row, row.low("low")) <= row.low("bearable")))
    answers += alarm_answers(row)
    answers += feed_answers(row, top, loaded=True)
    answers += hart_answers(row, hart)
    return verdict(answers)


def alarm_answers(row: Row) -> Iterator[Answer]:
    """Error against its budget, and alarms that are told as such: NAMUR NE 43."""
    barrier = row.flag("barrier")
    place = behind_return(row) if barrier else False

    def taken() -> Fraction:
        if not two_channel(row):
            return ZERO
        name = "return leakage" if row.has("return leakage") else "leakage"
        return row.high(name) * HOTTER

    def added() -> Fraction:
        if row.has("regulated") and not row.has("own"):
            raise MissingError("own")
        return row.high("leakage") * HOTTER + row.beside("own")

    if barrier:
        yield both_ways(
            lambda way: (taken() if way else added()) / SPAN <= row.low("budget"), place
        )
    elif row.has("budget"):
        yield ask(lambda: row.high("accuracy") <= row.low("budget"))

    def low_alarm(way: bool) -> bool:
        if row.low("low") >= Fraction(38, 10000):
            return True
        more = added() if barrier and not way else ZERO
        return row.high("low") + more <= Fraction(36, 10000)

    def high_alarm(way: bool) -> bool:
        if row.high("high") <= Fraction(205, 10000):
            return True
        return Fraction(21, 1000) + (taken() if barrier and way else ZERO) <= row.low("high")

    yield both_ways(low_alarm, place)
    yield both_ways(high_alarm, place)


def multidrop(shared: Figures, devices: Sequence[Figures], line: Fraction, farads: Fraction) -> str:
    """Whether several transmitters on one pair work; the worst of them."""
    words = [_one_of_many(shared, one, devices, line, farads) for one in devices]
    return next(one for one in ("fails", "unproven", "works") if one in words)


def _one_of_many(
    shared: Figures, one: Figures, devices: Sequence[Figures], line: Fraction, farads: Fraction
) -> str:
    rows = [Row(device, line, farads) for device in devices]

    def sum_of(name: str) -> Fraction:
        return sum((row.high(name) for row in rows), ZERO)

    def start(row: Row) -> Fraction:
        return max(row.high("fixed"), row.beside("start"))

    def top() -> Fraction:
        return max(sum_of("fixed") + PEAK, sum((start(row) for row in rows), ZERO))

    try:
        farads_of_all: Ends | None = Ends(ZERO, sum_of("C"))
    except MissingError:
        farads_of_all = None
    row = Row({**shared, **one, "C": farads_of_all}, line, farads)

    def need() -> Fraction:
        low, last = row.low("fixed"), start(row)
        tested = [low, row.high("fixed"), last]
        tested += [I for I, _ in row.table("need") if low < I < last]
        return max(row.at("need", I, "high") for I in tested) + row.beside("margin")

    answers = [ask(lambda: need() <= volts(row, top()))]
    if row.has("curve") and ask(lambda: top() > 0):
        inner = [I for I, _ in row.table("curve") if row.low("fixed") < I < top()]
        answers += [ask(lambda I=I: need() <= volts(row, I)) for I in inner]
    answers.append(ask(lambda: most_volts(row, row.low("fixed")) <= row.low("bearable")))
    count = len(devices)
    answers.append(True if count <= 15 else False if count > 63 else None)
    answers += feed_answers(row, top, loaded=True)
    answers += hart_answers(row, True)
    return verdict(answers)


class Supplied(Row):
    """A device with supply wires of its own; the load of its signal is none of its supply's."""

    def __init__(self, said: Figures, line: Fraction) -> None:
        super().__init__({**said, "load": Ends(ZERO, ZERO)}, line, ZERO)
        self.wires, self.sort = said.get("wires"), said.get("sort")
        self.core = line / 2 + self.beside("back")

    def shared(self) -> Fraction:
        """Volts that a current signal costs on the core that it shares with three wires."""
        if self.wires is None or self.sort is None:
            raise MissingError("wires")
        shares = (self.wires, self.sort) == ("3", "current")
        return self.high("signal current") * self.core if shares else ZERO

    def need(self) -> Fraction:
        return self.high("least") + self.beside("margin")

    def running(self) -> Fraction:
        return self.high("P") / self.need() if self.has("P") else self.high("run")

    def top(self) -> Fraction:
        return max(self.running() + self.beside("charge"), self.beside("start"))

    def held(self, I: Fraction) -> bool:
        return self.need() <= volts(self, I) - self.shared()

    def at_work(self) -> Answer:
        """Constant power by the rational test; below half the supply its failure tells nothing."""
        if not self.has("P") or self.has("curve") or self.held(self.running()):
            return self.held(self.running())
        inner = self.high("inner") if not self.flag("barrier") else self.high("end-to-end")
        R = inner + self.beside("back") + self.line + self.beside("series")
        Us = volts(self, self.running()) - self.shared() + self.running() * R
        hangs = self.need() <= Us / 2 and Us * Us >= 4 * self.high("P") * R
        return None if hangs else False

    def supply(self) -> Iterator[Answer]:
        yield ask(self.at_work)
        for name, I in (
            ("charge", lambda: self.running() + self.beside("charge")),
            ("start", lambda: self.beside("start")),
        ):
            if self.beside(name):
                yield ask(lambda I=I: self.held(I()))
        if self.has("curve") and ask(lambda: self.top() > 0):
            for at, _ in self.table("curve"):
                if 0 < at < self.top():
                    yield ask(lambda at=at: self.held(at))

    def signal(self) -> Answer:
        if self.wires is None or self.sort is None:
            return None
        if self.sort == "current":
            return ask(self.drives)
        if (self.wires, self.sort) != ("3", "voltage"):
            return True
        span = self.high("signal") - self.low("signal")
        return ask(lambda: self.running() * self.core / span <= self.low("budget"))

    def drives(self) -> bool:
        leads = self.line
        if self.wires == "3":
            shift = self.running() * self.core / self.high("signal current")
            leads = self.line / 2 + self.core + shift
        there = self.high("signal load") + self.beside("channel") + leads
        return there <= self.low("most load")


def powered(said: Figures, line: Fraction) -> str:
    """Whether a device with supply wires of its own works."""
    row = Supplied(said, line)
    answers = [*row.supply(), row.signal()]
    answers.append(ask(lambda: most_volts(row, ZERO) <= row.low("bearable")))
    answers += feed_answers(row, row.top, loaded=False)
    return verdict(answers)


class Driven(Row):
    """An output with its positioners in series."""

    def __init__(
        self, said: Figures, devices: Sequence[Figures], line: Fraction, farads: Fraction
    ) -> None:
        super().__init__(said, line, farads)
        self.rows = [Row(one, line, farads) for one in devices]
        self.barrier, self.hart = self.flag("barrier"), self.flag("HART")

    def asked(self, I: Fraction, end: str) -> Fraction:
        """Volts that the field asks at a current."""
        line = self.line if end == "high" else ZERO
        total = I * (line + self.beside("series", end))
        for one in self.rows:
            if not one.has("volts") and not one.has("ohms"):
                raise MissingError("volts")
            total += one.at("volts", I, end) if one.has("volts") else ZERO
            total += I * one.beside("ohms", end)
        if self.barrier:
            ohms = getattr(self.ends("end-to-end"), end) + self.beside("back", end)
            total += I * ohms + self.beside("back drop", end)
        return total

    def driven(self, I: Fraction) -> Fraction:
        """Volts that the output gives; ohms count at the highest current."""
        if not self.barrier and self.has("curve"):
            return self.at("curve", I, "low", falling=True)
        pair = ("card volts", "card most") if self.barrier else ("compliance", "most load")
        found = [self.low(pair[0])] if self.has(pair[0]) else []
        found += [max(I, self.high("high")) * self.low(pair[1])] if self.has(pair[1]) else []
        if not found:
            raise MissingError(pair[0])
        return min(found)

    def breakpoints(self) -> Iterator[Fraction]:
        if not self.has("low") or not self.has("high"):
            return
        last = self.high("high") + (ZERO if self.hart is False else PEAK)
        tables = [one.table("volts") for one in self.rows if one.has("volts")]
        tables += [self.table("curve")] if self.has("curve") and not self.barrier else []
        for at, _ in (point for table in tables for point in table):
            if self.low("low") < at < last:
                yield at

    def everywhere(self, rule: Callable[[Fraction], Answer]) -> Answer:
        """An answer at both ends, at the peak of HART and at every breakpoint between."""
        said = [ask(lambda: rule(self.low("low"))), ask(lambda: rule(self.high("high")))]
        said.append(lenient(self.hart, lambda: rule(self.high("high") + PEAK)))
        for at in self.breakpoints():
            told = ask(lambda at=at: rule(at))
            doubted = self.hart is None and self.high("high") < at and not told
            said.append(None if doubted else told)
        return all_of(said)

    def by_barrier(self) -> Iterator[Answer]:
        knee = lambda: self.low("working") * KNEE  # noqa: E731
        yield self.everywhere(lambda I: self.asked(I, "high") <= knee())
        yield ask(lambda: self.high("card open") <= self.low("highest"))
        yield ask(lambda: self.high("leakage") * HOTTER / SPAN <= self.low("budget"))

    def by_isolator(self) -> Iterator[Answer]:
        if self.has("budget"):
            yield ask(lambda: self.high("accuracy") <= self.low("budget"))
        if self.has("input volts") or self.has("input ohms") or self.has("card volts"):
            yield ask(lambda: takes_card(self, self.hart))


def output(said: Figures, devices: Sequence[Figures], line: Fraction, farads: Fraction) -> str:
    """Whether an output drives its positioners."""
    row = Driven(said, devices, line, farads)
    answers = [
        row.everywhere(lambda I: row.asked(I, "high") + row.beside("margin") <= row.driven(I))
    ]
    least = "card least" if row.barrier else "least load"
    if row.has(least):
        answers.append(row.everywhere(lambda I: row.high(least) <= row.asked(I, "low") / I))
    answers.append(ask(lambda: lives(row, row.rows)))
    answers += row.by_barrier() if row.barrier else row.by_isolator()
    answers += output_hart(row, row.rows, row.hart)
    return verdict(answers)


def lives(row: Row, rows: Sequence[Row]) -> bool:
    """Whether every positioner lives on the lowest current less the leakage."""
    asking = [one for one in rows if one.has("volts") or one.has("alive") or not one.has("ohms")]
    if not asking:
        return True
    leak = row.high("leakage") * HOTTER if row.flag("barrier") else ZERO
    return max(one.high("alive") for one in asking) + leak <= row.low("low")


def takes_card(row: Row, hart: Answer) -> bool:
    """Whether the card drives the safe-side input of an isolator."""
    if hart is None:
        raise MissingError("HART")
    top = row.high("high") + (PEAK if hart else ZERO)
    return row.beside("input volts") + top * row.beside("input ohms") <= row.low("card volts")


def output_hart(row: Row, rows: Sequence[Row], hart: Answer) -> Iterator[Answer]:
    """HART over an output: ohms and farads of positioners, leads and barrier."""
    barrier = row.flag("barrier")

    def ohms(end: str) -> Fraction:
        total = sum((getattr(one.ends("modem"), end) for one in rows), ZERO)
        total += row.beside("series", end) + (row.line if end == "high" else ZERO)
        if barrier:
            total += getattr(row.ends("end-to-end"), end) + row.beside("back", end)
        return total

    def port() -> bool:
        if barrier:
            return ohms("low") >= 230
        passes = row.flag("passes")
        if passes is None:
            raise MissingError("passes")
        return passes and (row.low("port") if row.has("port") else ohms("low")) >= 230

    yield lenient(hart, port)

    def time() -> bool:
        capacitance = sum((one.high("C") for one in rows), ZERO) + REST + row.farads
        return ohms("high") * capacitance <= TIME

    yield lenient(hart, time)
