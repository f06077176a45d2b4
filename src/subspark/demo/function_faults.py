"""Deliberate faults of function: circuits of the demo plant that are safe and do not work."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, NamedTuple

from subspark.demo.building import Batch, Route, Use

__all__ = [
    "FUNCTION_BATCHES",
    "FUNCTION_FAULTS",
    "FUNCTION_OPEN",
    "FUNCTION_ROUTES",
    "FUNCTION_TEXTS",
    "FunctionFault",
    "function_markdown",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionFault:
    """A circuit that is safe and does not work.

    Parameters
    ----------
    tag : str
        The circuit.
    rule : str
        The rule of function that decides.
    story : str
        How it came about.
    mended : str
        The cheapest repair.
    also : tuple of str
        Other rules that fail by the same cause.
    """

    tag: str
    rule: str
    story: str
    mended: str
    also: tuple[str, ...] = ()


class _Case(NamedTuple):
    fault: FunctionFault
    area: str
    route: str
    source: str
    uses: tuple[Use, ...]
    service: str
    metres: int
    states: str = ""

    @property
    def batch(self) -> Batch:
        letters, _, number = self.fault.tag.partition("-")
        return Batch(
            letters=letters,
            first=int(number),
            area=self.area,
            route=self.route,
            source=self.source,
            uses=self.uses,
            services=(self.service,),
            straight=self.metres,
        )


FUNCTION_ROUTES: Final = {
    "barriers, plain": Route("MC-3", "FC 2x1.5"),
    "barriers, thin": Route("MC-3", "MB 24x2x0.5"),
    "barriers, thermo": Route("MC-3", "KX 2x0.5 compensating"),
    "isolators, plain": Route("MC-1", "FC 2x1.5"),
    "isolators, thin": Route("MC-1", "MB 24x2x0.5"),
    "isolators, probe": Route("MC-1", "VX 3x0.35 probe"),
    "elevator, plain": Route("MC-2", "FC 2x1.5"),
}

_BARRIER_LOOP: Final = "error budget share: <= 0.3 %"

_CASES: Final = (
    _Case(
        FunctionFault(
            tag="PT-1181",
            rule="lift-off",
            story="A barrier loop of 750 m on thin cores: barrier, input card of 250 ohm and cable "
            "take so much of the 24 V that the transmitter is left without its 10.5 V. Capacitance "
            "had been looked at, and that passes.",
            mended="Conductors of 1.5 mm2, or an input of 100 ohm as the other barriers have.",
        ),
        "SKID-1",
        "barriers, thin",
        "AB-28",
        (Use("KW-P30"),),
        "trailer bay, far end",
        750,
        f"{_BARRIER_LOOP}; load resistance: 250 ohm ± 1 %",
    ),
    _Case(
        FunctionFault(
            tag="LT-1181",
            rule="lift-off",
            story="An indicator was put into the loop of a radar that starts with 16 V up to "
            "11 mA; on its weak supply there was room for one of them.",
            mended="Take the indicator out, or feed the loop from an RW-1126.",
        ),
        "SKID-1",
        "isolators, plain",
        "LM-22P",
        (Use("HM-L12"), Use("KW-I5")),
        "wash tank with indicator",
        180,
    ),
    _Case(
        FunctionFault(
            tag="PT-1182",
            rule="HART",
            story="A multiplexer was connected across the input card of a barrier loop: with "
            "100 ohm at its port the modem hears nothing.",
            mended="A resistor of 250 ohm in place of the 100 ohm at the card.",
        ),
        "SKID-1",
        "barriers, plain",
        "AB-28",
        (Use("KW-P30"),),
        "asset management, pilot",
        120,
        f"{_BARRIER_LOOP}; HART: yes; HART place: safe side",
    ),
    _Case(
        FunctionFault(
            tag="LSH-2181",
            rule="short told",
            story="The level switch of the lagoon is 1300 m away on thin cores: a short there "
            "shows more than the 100 ohm below which the input surely tells it.",
            mended="Two cores in parallel for each conductor, or conductors of 0.75 mm2.",
        ),
        "RAW-1",
        "isolators, thin",
        "RW-1107",
        (Use("HM-C7"),),
        "lagoon overflow",
        1300,
    ),
    _Case(
        FunctionFault(
            tag="XV-4581",
            rule="pull-in current",
            story="The pilot at the grid valve pulled in on the bench; with its coil hot in the "
            "compressor's air and 1200 m of thin cable it gets less than its 23.5 mA.",
            mended="The pilot MT-V11, whose coil has fewer ohms; thicker conductors would mend it "
            "too, and bring more capacitance than is permitted.",
        ),
        "COMP-1",
        "isolators, thin",
        "RW-1128",
        (Use("MT-V10"),),
        "grid valve",
        1200,
    ),
    _Case(
        FunctionFault(
            tag="PV-2081",
            rule="compliance",
            story="Two positioners in split range were put in series on one output, as the "
            "pneumatic ones before them: together they ask more volts than it drives.",
            mended="An output of its own for the second positioner.",
        ),
        "RAW-1",
        "isolators, plain",
        "RW-1136",
        (Use("MT-P60", "setpoint"), Use("MT-P60", "setpoint")),
        "pressure of the holder, split range",
        300,
    ),
    _Case(
        FunctionFault(
            tag="TE-2081",
            rule="lead error",
            story="A Pt100 was connected by the one pair that was left: on two wires the leads "
            "count as temperature.",
            mended="A cable of three cores, as TE-2001 has.",
        ),
        "RAW-1",
        "isolators, plain",
        "RW-1110",
        (Use("Pt100"),),
        "heating flow 2, by a spare pair",
        310,
        "wires: 2; measured temperature: -20 to 120 °C; error budget: <= 1 K",
    ),
    _Case(
        FunctionFault(
            tag="TE-1181",
            rule="lead error",
            story="The burnout current of the new input, 2 µA, goes through barrier channels and "
            "a long compensating cable; nobody had asked what that is in kelvins.",
            mended="Set the burnout current off, or use an isolator (RW-1110) for the barrier.",
        ),
        "SKID-1",
        "barriers, thermo",
        "AB-09",
        (Use("thermocouple, insulated tip"),),
        "cooler outlet 2",
        150,
        "measured temperature: 0 to 500 °C; error budget: <= 3.5 K; bias current: <= 2 µA; "
        "highest loop resistance: <= 1.5 kohm; joint difference: <= 1 K",
    ),
    _Case(
        FunctionFault(
            tag="YB-5381",
            rule="operating voltage",
            also=("current limit",),
            story="A second beacon was hung on the driver of the first: the two take more than "
            "it gives.",
            mended="Take one of the two off the driver, and give it a driver of its own.",
        ),
        "YARD-22",
        "elevator, plain",
        "RW-1150",
        (Use("NJ-B4"), Use("NJ-B4")),
        "intake pit, both ends",
        250,
    ),
    _Case(
        FunctionFault(
            tag="HL-1181",
            rule="dark, by monitoring",
            story="The lamp replaced a beacon on a driver that watches its line: the 0.5 mA of "
            "the monitoring make it glow when it is off.",
            mended="Switch the line monitoring off, or use a driver without (TW-511).",
        ),
        "SKID-1",
        "isolators, plain",
        "RW-1150",
        (Use("NJ-L2"),),
        "trailer connected",
        190,
    ),
    _Case(
        FunctionFault(
            tag="FT-4181",
            rule="working voltage",
            story="The barrier was moved to the battery supply, which is charged at 27.6 V: above "
            "its working voltage the barrier conducts to earth and the reading drifts.",
            mended="Feed it from the regulated supply of the cabinet.",
        ),
        "BLEND-1",
        "barriers, plain",
        "AB-28",
        (Use("KW-D42"),),
        "odorant 2, battery supply",
        160,
        f"{_BARRIER_LOOP}; supply voltage: 22.5 to 27.6 V",
    ),
    _Case(
        FunctionFault(
            tag="VE-4581",
            rule="bandwidth",
            story="The probe of the new turbocharger turns four times as fast as the compressor; "
            "500 m of cable and the ohms before it swallow its 10 kHz.",
            mended="A supply nearer to the machine: at 300 m it passes.",
        ),
        "COMP-1",
        "isolators, probe",
        "RW-1160",
        (Use("SV-P8"),),
        "turbocharger",
        500,
        "error budget share: <= 0.1 %; highest frequency: <= 10000 Hz",
    ),
)

_LOW_BARRIER: Final = FunctionFault(
    tag="PT-1161",
    rule="lift-off",
    also=("volts by certificate",),
    story="So that four circuits may share the old multicore W-62 barriers of 12 V were chosen; a "
    "transmitter that needs 10.5 V cannot work behind them, whatever supply and cable.",
    mended="An isolator for each (RW-1126), in cables of their own.",
)


def _beside(tag: str) -> FunctionFault:
    return FunctionFault(
        tag=tag,
        rule=_LOW_BARRIER.rule,
        also=_LOW_BARRIER.also,
        story="It has the low barrier of PT-1161.",
        mended="By what mends PT-1161.",
    )


_SEGMENT: Final = FunctionFault(
    tag="FB-1181",
    rule="volts at the device",
    story="Seven devices on 900 m: FISCO is kept, but the last ones are left with less than 9 V.",
    mended="Two segments; four devices on this one are fed well.",
)

FUNCTION_FAULTS: Final = (
    *(case.fault for case in _CASES),
    _LOW_BARRIER,
    *(_beside(f"PT-{number}") for number in (1162, 1163, 1164)),
    _SEGMENT,
)
"""Every circuit of the demo plant that fails; each is safe."""

FUNCTION_BATCHES: Final = tuple(case.batch for case in _CASES)
FUNCTION_TEXTS: Final = {case.fault.tag: case.states for case in _CASES}

_SEVERAL: Final = "several sources or channels together: no kind of circuit says how they work"
_LOST: Final = "the data sheet of the cable is lost: its ohms are not known"
_INDICATOR: Final = "an indicator alone: nothing tells what current it is to show"
_ALONE: Final = "its field device is of no kind that is judged"

FUNCTION_OPEN: Final = {
    **dict.fromkeys(("PT-1051", "PT-1052", "PT-1141", "PT-1142", "PT-1143", "LS-1151"), _SEVERAL),
    **dict.fromkeys(("PI-1151", "PI-1195", "PI-1191", "PI-2151", "ZE-2051"), _SEVERAL),
    **dict.fromkeys(("FT-1111", "FT-1112", "AT-1191"), _LOST),
    **dict.fromkeys(("PI-1192", "PI-1193", "PI-1194"), _INDICATOR),
    **dict.fromkeys(("BE-2051", "BE-2091", "ZT-1193", "ZE-4551", "ZE-4552"), _ALONE),
    **dict.fromkeys(("TE-2051", "TE-2052"), "two thermocouples against each other: not judged"),
    "ZT-4551": "a potentiometer on an output, for the sake of its surface: it measures nothing",
    "PT-1171": "what the loop tester takes when it is left in place is not known",
}
"""Circuits of which it is not told whether they work, and why. They are nothing but open."""


def function_markdown() -> str:
    """Return the table of faults of function as Markdown."""
    head = "| circuit | caught by | what went wrong | cheapest repair |"
    rows = [
        f"| {one.tag} | {', '.join((one.rule, *one.also))} | {one.story} | {one.mended} |"
        for one in FUNCTION_FAULTS
    ]
    return "\n".join((head, "| --- | --- | --- | --- |", *rows)) + "\n"
