"""Deliberate faults of the demo plant: each in one circuit, each for exactly one rule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from subspark.demo.building import Batch, Route, Use
from subspark.demo.deliberate import DeliberateFault
from subspark.demo.harder_faults import HARDER_FAULTS
from subspark.demo.segments import SEGMENT_FAULTS

__all__ = ["FAULTS", "FAULTY_BATCHES", "FAULTY_ROUTES", "DeliberateFault", "faults_markdown"]


@dataclass(frozen=True, slots=True)
class _Case:
    fault: DeliberateFault
    area: str
    route: str
    source: str
    uses: tuple[Use, ...]
    service: str
    straight: int = 0
    supply: Literal["", "mains"] = ""

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
            straight=self.straight,
            supply=self.supply,
        )


FAULTY_ROUTES: Final = {
    "straight": Route("MC-1", "FC 2x1.5"),
    "straight, elevator": Route("MC-2", "FC 2x1.5"),
    "straight, data sheet lost": Route("MC-1", "two-core, data sheet lost"),
    "straight, compensating": Route("MC-3", "KX 2x0.5 compensating"),
    "field cabinet": Route("FC-1", "FC 2x1.5"),
}

_CASES: Final = (
    _Case(
        DeliberateFault(
            tag="AT-4091",
            rule="capacitance",
            verdict="unsafe",
            story="The analyser brings both 40 nF and 120 µH, more than 1 % of Co and of Lo, so "
            "only half of Co may be used; the plain comparison with 99 nF was thought enough.",
            mended="Cut the cable to less than 100 m, or take a supply whose certificate prints "
            "Co and Lo as pairs.",
        ),
        "BLEND-1",
        "straight",
        "RW-1126",
        (Use("TG-9"),),
        "blend composition",
        180,
    ),
    _Case(
        DeliberateFault(
            tag="FT-1191",
            rule="capacitance",
            verdict="unsafe",
            story="The cable length was worked out with Co of the IIB column (770 nF), although "
            "the skid is IIC (99 nF).",
            mended="Serve it from the field cabinet, by an RW-1125: the cable is then 60 m long "
            "instead of 1050 m.",
        ),
        "SKID-1",
        "straight",
        "RW-1126",
        (Use("KW-D42"),),
        "hydrogen by the far meadow",
        1050,
    ),
    _Case(
        DeliberateFault(
            tag="PT-1191",
            rule="voltage",
            verdict="unsafe",
            story="The spare that replaced the transmitter is the low-voltage variant: Ui 24 V on "
            "a supply of 26 V.",
            mended="Fit the variant KW-P30 with Ui 30 V.",
        ),
        "SKID-1",
        "straight",
        "RW-1126",
        (Use("KW-P24"),),
        "dryer",
        150,
    ),
    _Case(
        DeliberateFault(
            tag="XV-1191",
            rule="power",
            verdict="unsafe",
            story="Po of the trapezoidal supply was taken as Uo Io / 4 = 435 mW; its certificate "
            "says 700 mW, more than the 650 mW that the valve accepts.",
            mended="Fit the pilot MT-V10 with Pi 1.6 W.",
        ),
        "SKID-1",
        "straight",
        "LM-17T",
        (Use("MT-V06"),),
        "sample purge",
        150,
    ),
    _Case(
        DeliberateFault(
            tag="AT-1191",
            rule="inductance",
            verdict="unsafe",
            story="The old cable of 900 m counts with the default of 1 µH/m, and the coil of the "
            "sensing head closes the way by L/R.",
            mended="Measure the cable: at 0.7 µH/m it passes.",
        ),
        "SKID-1",
        "straight, data sheet lost",
        "LM-10H",
        (Use("TG-8"),),
        "pipe bridge",
        900,
    ),
    _Case(
        DeliberateFault(
            tag="LT-1091",
            rule="level",
            verdict="unsafe",
            story="An indicator of level ib stands in zone 1, where it may, but its circuit goes "
            "on into zone 0, and the indicator makes the whole circuit ib.",
            mended="Fit the indicator KW-I5 of level ia.",
        ),
        "SKID-0",
        "straight",
        "RW-1126",
        (Use("HM-L12"), Use("KW-I4", place="SKID-1")),
        "catch pot 3 with indicator",
        160,
    ),
    _Case(
        DeliberateFault(
            tag="PT-1192",
            rule="group",
            verdict="unsafe",
            story="A transmitter of group IIB was moved from the digesters to the hydrogen skid.",
            mended="Fit KW-P30 of group IIC.",
        ),
        "SKID-1",
        "straight",
        "RW-1126",
        (Use("KW-P30B"),),
        "compressed air of the actuators",
        150,
    ),
    _Case(
        DeliberateFault(
            tag="FT-4591",
            rule="temperature class",
            verdict="unsafe",
            story="The transmitter is T4 up to 40 °C only; at the 50 °C of the compressor house "
            "the row of its certificate says T3, and the area asks T4.",
            mended="Fit KW-D42, which is T4 up to 80 °C.",
        ),
        "COMP-1",
        "straight",
        "RW-1126",
        (Use("KW-D40"),),
        "oil flow",
        140,
    ),
    _Case(
        DeliberateFault(
            tag="MT-5291",
            rule="temperature class",
            verdict="unsafe",
            story="The heated probe (T230 °C) was checked against the dust cloud (2/3 of 400 °C) "
            "and not against the 5 mm layer, which allows 300 °C less 75 K.",
            mended="Take the probe out of the gallery, or heat it less under another certificate.",
        ),
        "GALLERY-21",
        "straight, elevator",
        "RW-1126",
        (Use("WB-M3"),),
        "grain moisture",
        240,
    ),
    _Case(
        DeliberateFault(
            tag="TE-1191",
            rule="earthing",
            verdict="unproven",
            story="A thermocouple with an earthed tip stands on a shunt-diode barrier: the "
            "circuit is earthed at two points, and nobody has shown the bonding between.",
            mended="Use an isolator (RW-1110), or evidence the bonding along the route.",
        ),
        "SKID-1",
        "straight, compensating",
        "AB-09",
        (Use("thermocouple, earthed tip"),),
        "cooler wall",
        140,
    ),
    _Case(
        DeliberateFault(
            tag="FT-2091",
            rule="conditions",
            verdict="unproven",
            story="The certificate of the vortex meter bears an X, and nobody has answered its "
            "conditions on friction sparks and on the cable entry.",
            mended="Read both conditions, see that they are met, and answer them with evidence.",
        ),
        "RAW-1",
        "straight",
        "RW-1126",
        (Use("KW-F70"),),
        "engine gas",
        330,
    ),
    _Case(
        DeliberateFault(
            tag="FT-4091",
            rule="inductance",
            verdict="unproven",
            story="Lo of the supply was typed as 4.3 H for 4.3 mH; at 90 mA no such value is "
            "credible, so nothing is proved by it until somebody looks at the certificate.",
            mended="Correct the unit in the sheet of the source.",
        ),
        "BLEND-1",
        "straight",
        "RW-1126 issue A",
        (Use("KW-D42"),),
        "odorant",
        170,
    ),
    _Case(
        DeliberateFault(
            tag="PT-3091",
            rule="power",
            verdict="unproven",
            story="Pi of the draught transmitter was left blank: a blank is not 'not limiting'.",
            mended="Enter Pi, or the words by which its certificate states Ui and Ii only.",
        ),
        "CLEAN-1",
        "straight",
        "RW-1126",
        (Use("KW-Q15"),),
        "ventilation of the membrane hut",
        280,
    ),
    _Case(
        DeliberateFault(
            tag="AT-1291",
            rule="supply",
            verdict="unsafe",
            story="A barrier with Um 60 V is fed by an ordinary 24 V unit on the 230 V mains.",
            mended="Feed it from a unit that is SELV by its document, as AT-1203, or use an "
            "isolator.",
        ),
        "SKID-2",
        "fence barriers",
        "AB-24C",
        (Use("TG-2C"),),
        "west",
        supply="mains",
    ),
    _Case(
        DeliberateFault(
            tag="PT-1291",
            rule="place",
            verdict="unsafe",
            story="A spare isolator for the safe area was put into the field cabinet in zone 2.",
            mended="Fit RW-1125, whose body is Ex ec for zone 2.",
        ),
        "SKID-2",
        "field cabinet",
        "RW-1126",
        (Use("KW-P30"),),
        "cooling water",
        40,
    ),
)

FAULTS: Final = (*(case.fault for case in _CASES), *HARDER_FAULTS, *SEGMENT_FAULTS)
FAULTY_BATCHES: Final = tuple(case.batch for case in _CASES)


def faults_markdown() -> str:
    """Return the table of deliberate faults as Markdown."""
    head = "| circuit | caught by | verdict | what went wrong | how it is mended |"
    rows = [
        f"| {one.tag} | {', '.join((one.rule, *one.also))} | {one.verdict} | {one.story} "
        f"| {one.mended} |"
        for one in FAULTS
    ]
    return "\n".join((head, "| --- | --- | --- | --- | --- |", *rows)) + "\n"
