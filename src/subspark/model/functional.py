"""Functional figures: what an item asks of a circuit, or gives it, so that it works.

They are not of the certificate and decide nothing of safety. Each is one :class:`Datum`: a
word of the vocabulary below, a value with its tolerance, and where a figure depends on a
current, the current that it holds at (several rows then make a table).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple, get_args

from subspark.errors import InputError
from subspark.model.base import Record
from subspark.quantity import (
    CAPACITANCE,
    COUNT,
    CURRENT,
    DIFFERENCE,
    FREQUENCY,
    INDUCTANCE,
    MONEY,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    THERMAL,
    TIME,
    VOLTAGE,
    Evidence,
    Kind,
    Spread,
    read_spread,
)

__all__ = ["DEVICE_ROLES", "SOURCE_ROLES", "TERMS", "Datum", "Term", "What"]

SOURCE_ROLES = (
    "shunt-diode barrier",
    "repeater supply",
    "switch amplifier",
    "output driver",
    "current output",
    "resistance input",
    "thermocouple input",
    "fieldbus supply",
    "probe supply",
    "bridge supply",
    "serial coupler",
    "pulse input",
    "temperature input",
)
"""What a source can be to a circuit that works."""

DEVICE_ROLES = (
    "two-wire transmitter",
    "powered transmitter",
    "indicator",
    "series element",
    "contact",
    "proximity switch",
    "solenoid valve",
    "positioner",
    "resistance thermometer",
    "potentiometer",
    "thermocouple",
    "lamp",
    "sounder",
    "vibration probe",
    "fieldbus device",
    "field coupler",
    "bridge",
    "coil pick-up",
    "serial device",
    "end-of-line resistor",
    "beacon",
    "detector",
)
"""What an apparatus can be to a circuit that works."""

_YES_NO = ("yes", "no")

LEADS = (
    *("B", "E", "J", "K", "N", "R", "S", "T"),
    *("EX", "JX", "KX", "NX", "TX", "KCA", "KCB", "NC", "RCA", "SCA"),
)
"""Letters of thermocouples and of their extension and compensating cables (IEC 60584-3)."""

What = Literal[
    "role",
    # a source as a supply
    "open-circuit voltage",
    "terminal voltage",
    "internal resistance",
    "current limit",
    "regulated voltage",
    "own current",
    # a barrier
    "end-to-end resistance",
    "least resistance",
    "voltage drop",
    "return resistance",
    "return voltage drop",
    "return working voltage",
    "return leakage current",
    "working voltage",
    "leakage current",
    "fuse current",
    "highest supply",
    "signal resistance",
    "common resistance",
    "common current",
    # the safe side
    "supply voltage",
    "load resistance",
    "load place",
    "load compliance",
    "input limit voltage",
    "highest load",
    "lowest load",
    "accuracy",
    "error budget share",
    "margin",
    "HART",
    "HART resistance",
    "HART highest resistance",
    "HART place",
    # inputs
    "on threshold",
    "off threshold",
    "break threshold",
    "short threshold",
    "low alarm threshold",
    "high alarm threshold",
    "off-state voltage",
    "monitoring current",
    "excitation current",
    "current mismatch",
    "bias current",
    "highest lead resistance",
    "highest loop resistance",
    "channel resistance",
    "channel mismatch",
    "input resistance",
    "input threshold",
    # two-wire and powered devices
    "lift-off voltage",
    "highest operating voltage",
    "low alarm current",
    "high alarm current",
    "start current",
    "fixed current",
    "input capacitance",
    "supply current",
    "lowest supply voltage",
    "series resistance",
    "power",
    "wires",
    # contacts and proximity switches
    "series resistor",
    "parallel resistor",
    "resistor topology",
    "on current",
    "off current",
    "wetting current",
    "switch type",
    # coils, lamps, sounders
    "coil resistance",
    "self-heating",
    "coil thermal resistance",
    "bridge voltage",
    "pull-in current",
    "pull-in voltage",
    "pull-in voltage at 20 °C",
    "hold current",
    "drop-out current",
    "charge current",
    "charge time",
    "cycle time",
    "forward voltage",
    "visible current",
    "glow current",
    "operating current",
    "alive current",
    "junctions",
    # temperature
    "element",
    "resistance at 0 °C",
    "thermocouple type",
    "measured temperature",
    "error budget",
    "conductor temperature",
    "lead mismatch",
    "compensated resistance",
    "lead pair",
    "joint difference",
    "track resistance",
    # probes, bridges, pick-ups, serial lines, end-of-line resistors
    "output resistance",
    "signal voltage",
    "highest frequency",
    "drive current",
    "bridge resistance",
    "sense wires",
    "excitation voltage",
    "coil voltage",
    "coil inductance",
    "differential voltage",
    "unit load",
    "termination",
    "end-of-line resistance",
    "quiescent current",
    "alarm resistance",
    "short current",
    # fieldbus
    "basic current",
    "fault current",
    "trunk voltage",
    "spur current limit",
    "reserve",
    "stations",
    # choosing
    "price",
    "stock",
    "channels",
    "spare channels",
    "SIL",
    "line-fault detection",
    "supply kind",
    "zone 2 mounting",
    "heat",
    "approval",
    "status",
    "signal",
    "redundant half",
]


class Term(NamedTuple):
    """A word of the vocabulary: what it means, and what may stand as its value.

    ``values`` is the quantity, or the words to choose from (empty: any text). ``at`` is the
    quantity of its argument where the figure depends on one.
    """

    values: Kind | tuple[str, ...]
    says: str
    at: Kind | None = None


TERMS: dict[str, Term] = {
    "role": Term((*SOURCE_ROLES, *DEVICE_ROLES), "What the item is to the circuit."),
    "open-circuit voltage": Term(VOLTAGE, "Voltage of the source without load."),
    "terminal voltage": Term(VOLTAGE, "Guaranteed voltage of the source at that current.", CURRENT),
    "internal resistance": Term(RESISTANCE, "Ohms behind the open-circuit voltage."),
    "current limit": Term(CURRENT, "Current at which the source limits."),
    "regulated voltage": Term(VOLTAGE, "Voltage to which a barrier regulates an overvoltage."),
    "own current": Term(CURRENT, "Current that a regulating barrier takes for itself."),
    "end-to-end resistance": Term(RESISTANCE, "Ohms through a barrier channel, fuse included."),
    "least resistance": Term(RESISTANCE, "Least ohms through the channel (fuse, short circuit)."),
    "voltage drop": Term(VOLTAGE, "Volts lost in the item, at that current where given.", CURRENT),
    "return resistance": Term(RESISTANCE, "Ohms through the return channel."),
    "return voltage drop": Term(VOLTAGE, "Volts lost in the diodes of the return channel."),
    "return working voltage": Term(VOLTAGE, "Working voltage of the return channel."),
    "return leakage current": Term(CURRENT, "Leakage of the return channel, likewise."),
    "working voltage": Term(VOLTAGE, "Highest voltage at 20 °C at which the leakage stays small."),
    "leakage current": Term(CURRENT, "Leakage at the working voltage and 20 °C."),
    "fuse current": Term(CURRENT, "Rated current of the fuse of a barrier."),
    "highest supply": Term(VOLTAGE, "Highest voltage before the fuse may blow."),
    "signal resistance": Term(RESISTANCE, "Ohms through the signal channel."),
    "common resistance": Term(RESISTANCE, "Ohms through the common channel or return rail."),
    "common current": Term(CURRENT, "Current of the other circuits in the common return rail."),
    "supply voltage": Term(VOLTAGE, "Voltage on the safe side of a barrier, with tolerance."),
    "load resistance": Term(RESISTANCE, "Input resistance of the instrument on the safe side."),
    "load place": Term(("supply leg", "return leg"), "Where that resistance stands."),
    "load compliance": Term(VOLTAGE, "Volts that an isolator can drive into its safe-side load."),
    "input limit voltage": Term(VOLTAGE, "Highest voltage that the input card endures."),
    "highest load": Term(RESISTANCE, "Highest load that the output drives."),
    "lowest load": Term(RESISTANCE, "Lowest load with which the output still regulates."),
    "accuracy": Term(RATIO, "Error of the source, as a share of span."),
    "error budget share": Term(RATIO, "Permitted error, as a share of span."),
    "margin": Term(VOLTAGE, "Volts wanted beyond what is needed."),
    "HART": Term(_YES_NO, "Whether HART is used (circuit), or passed (source), or spoken."),
    "HART resistance": Term(RESISTANCE, "Ohms that a source puts across its modem's port."),
    "HART highest resistance": Term(RESISTANCE, "Highest ohms of a HART loop."),
    "HART place": Term(("safe side", "field side"), "Where the modem is connected."),
    "on threshold": Term(CURRENT, "Current from which the input surely reads on."),
    "off threshold": Term(CURRENT, "Current up to which the input surely reads off."),
    "break threshold": Term(CURRENT, "Currents between which a lead break is told."),
    "short threshold": Term(RESISTANCE, "Ohms between which a lead short is told."),
    "low alarm threshold": Term(CURRENT, "Current up to which the input tells a low alarm."),
    "high alarm threshold": Term(CURRENT, "Current from which the input tells a high alarm."),
    "off-state voltage": Term(VOLTAGE, "Voltage of the driver when off."),
    "monitoring current": Term(CURRENT, "Current of line monitoring when off."),
    "excitation current": Term(CURRENT, "Measuring current of a resistance input."),
    "current mismatch": Term(RATIO, "Difference of the two measuring currents (3-wire)."),
    "bias current": Term(CURRENT, "Burnout or bias current of the input."),
    "highest lead resistance": Term(RESISTANCE, "Highest ohms a leg, barrier channel included."),
    "highest loop resistance": Term(
        RESISTANCE, "Highest ohms of a thermocouple loop, barrier channels included."
    ),
    "channel resistance": Term(RESISTANCE, "Ohms of one barrier channel in series with a lead."),
    "channel mismatch": Term(RESISTANCE, "Difference between two such channels."),
    "input resistance": Term(RESISTANCE, "Resistance of a voltage input."),
    "input threshold": Term(VOLTAGE, "Voltage that the input needs."),
    "lift-off voltage": Term(VOLTAGE, "Volts that the device needs, at that current.", CURRENT),
    "highest operating voltage": Term(VOLTAGE, "Highest voltage at which the device works."),
    "low alarm current": Term(CURRENT, "Lowest current of the device (low alarm)."),
    "high alarm current": Term(CURRENT, "Highest current of the device (high alarm)."),
    "start current": Term(CURRENT, "Current that the device takes to start."),
    "fixed current": Term(CURRENT, "Constant current of the device (several on a pair)."),
    "input capacitance": Term(CAPACITANCE, "Capacitance of the device to the HART signal."),
    "supply current": Term(CURRENT, "Current of a device with supply wires of its own."),
    "lowest supply voltage": Term(VOLTAGE, "Volts that the supply wires must leave."),
    "series resistance": Term(RESISTANCE, "Ohms of an item in series, both legs together."),
    "power": Term(POWER, "Power that a device takes, at any voltage (a constant-power load)."),
    "wires": Term(("2", "3", "4", "6"), "Wires of the connection."),
    "series resistor": Term(RESISTANCE, "Resistor in series with the contact, at the contact."),
    "parallel resistor": Term(RESISTANCE, "Resistor across the contact, at the contact."),
    "resistor topology": Term(
        ("series with the parallel pair", "parallel outside", "series only", "no resistors"),
        "Series resistor before contact and parallel resistor, or parallel resistor over both.",
    ),
    "on current": Term(CURRENT, "Current of the device when on, at the nominal source."),
    "off current": Term(CURRENT, "Current of the device when off, at the nominal source."),
    "wetting current": Term(CURRENT, "Least current that keeps the contact clean."),
    "switch type": Term(
        ("standard", "safety"), "Whether a proximity switch is of the safety type (SN)."
    ),
    "coil resistance": Term(RESISTANCE, "Ohms of the coil at 20 °C, with tolerance."),
    "self-heating": Term(DIFFERENCE, "How much hotter the coil becomes than the air."),
    "coil thermal resistance": Term(THERMAL, "Kelvin per watt of the coil against the air."),
    "bridge voltage": Term(VOLTAGE, "Volts lost in built-in diodes."),
    "pull-in current": Term(CURRENT, "Current that surely pulls in."),
    "pull-in voltage": Term(VOLTAGE, "Volts at the terminals that surely pull in, coil hot."),
    "pull-in voltage at 20 °C": Term(
        VOLTAGE, "Volts at the terminals that surely pull in, coil at 20 °C."
    ),
    "hold current": Term(CURRENT, "Current that surely holds."),
    "drop-out current": Term(CURRENT, "Current below which it surely releases."),
    "charge current": Term(CURRENT, "Current that a booster needs to charge."),
    "charge time": Term(TIME, "Time that a booster needs to charge at that current."),
    "cycle time": Term(TIME, "Shortest time between two switchings."),
    "forward voltage": Term(VOLTAGE, "Volts of the lamp, at that current where given.", CURRENT),
    "visible current": Term(CURRENT, "Current from which the lamp is seen."),
    "glow current": Term(CURRENT, "Current up to which the lamp stays dark."),
    "operating current": Term(CURRENT, "Current that the device takes at work."),
    "alive current": Term(CURRENT, "Current below which the device stops working."),
    "junctions": Term(COUNT, "Junctions in series in a lamp; cold, each needs 2 mV/K more."),
    "element": Term(
        ("Pt 3851", "Pt 3916", "Ni 6180"), "Characteristic of the resistance thermometer."
    ),
    "resistance at 0 °C": Term(RESISTANCE, "Resistance of the element at 0 °C."),
    "thermocouple type": Term(("B", "E", "J", "K", "N", "R", "S", "T"), "Letter of the pair."),
    "measured temperature": Term(TEMPERATURE, "Temperatures that are to be measured."),
    "error budget": Term(DIFFERENCE, "Permitted error of the leads."),
    "conductor temperature": Term(TEMPERATURE, "Temperatures of the conductors along the route."),
    "lead mismatch": Term(RATIO, "Difference of the resistances of two cores of a cable."),
    "compensated resistance": Term(
        RESISTANCE, "Ohms of both legs together that the instrument is set to take off."
    ),
    "lead pair": Term(LEADS, "Pair of alloys of which a run is made; its part names the run."),
    "joint difference": Term(
        DIFFERENCE, "Difference of temperature between the two terminals of a joint of copper."
    ),
    "track resistance": Term(RESISTANCE, "Resistance of the whole track of a potentiometer."),
    "output resistance": Term(RESISTANCE, "Resistance of the signal output of a probe."),
    "signal voltage": Term(VOLTAGE, "Magnitudes between which the signal moves."),
    "highest frequency": Term(FREQUENCY, "Highest frequency of the signal."),
    "drive current": Term(CURRENT, "Current that a signal output can give to its cable."),
    "bridge resistance": Term(RESISTANCE, "Resistance of the bridge, several cells together."),
    "sense wires": Term(_YES_NO, "Whether the supply is sensed at the bridge (six wires)."),
    "excitation voltage": Term(VOLTAGE, "Supply of a bridge."),
    "coil voltage": Term(VOLTAGE, "Peak voltage of the pick-up at the lowest speed."),
    "coil inductance": Term(INDUCTANCE, "Inductance of the pick-up."),
    "differential voltage": Term(VOLTAGE, "Volts between the two wires of a serial line."),
    "unit load": Term(COUNT, "Unit loads of a device of a serial line."),
    "termination": Term(RESISTANCE, "Terminating resistance."),
    "end-of-line resistance": Term(RESISTANCE, "Resistor at the far end of a detector loop."),
    "quiescent current": Term(CURRENT, "Current of the devices of the loop at rest, together."),
    "alarm resistance": Term(RESISTANCE, "Resistance of a device in alarm."),
    "short current": Term(CURRENT, "Currents between which a lead short is told."),
    "basic current": Term(CURRENT, "Current of a fieldbus device at work."),
    "fault current": Term(CURRENT, "Additional current of a fieldbus device in fault."),
    "trunk voltage": Term(VOLTAGE, "Least voltage that a coupler needs on its trunk side."),
    "spur current limit": Term(CURRENT, "Current to which a coupler limits a shorted spur."),
    "reserve": Term(RATIO, "Share of the current kept in reserve."),
    "stations": Term(
        COUNT, "Devices on the whole segment, where it has more than the circuit shows."
    ),
    "price": Term(MONEY, "Price of one, of a cable of a metre, in the money of the plant."),
    "stock": Term(COUNT, "How many lie in stores."),
    "channels": Term(COUNT, "Channels of one module; of a circuit, the most that it may have."),
    "spare channels": Term(RATIO, "Share of the channels kept free."),
    "SIL": Term(("1", "2", "3"), "Safety integrity level claimed or asked."),
    "line-fault detection": Term(_YES_NO, "Whether it tells a broken or shorted line."),
    "supply kind": Term((), "The supply of the source, such as 24 V d.c."),
    "zone 2 mounting": Term(_YES_NO, "Whether the source may stand in zone 2."),
    "heat": Term(POWER, "Heat that one gives off in its cabinet."),
    "approval": Term((), "National approvals, separated by commas."),
    "status": Term(("current", "phase-out", "obsolete"), "Whether it is still made."),
    "signal": Term(
        (
            *("analogue input", "analogue output", "digital input", "digital output"),
            *("temperature", "fieldbus", "frequency", "bridge", "serial"),
        ),
        "Type of the signal.",
    ),
    "redundant half": Term((), "Half of a redundant pair; halves of other names share no module."),
}
"""The vocabulary. The order is that of :data:`What`."""

if tuple(TERMS) != get_args(What):
    raise TypeError(f"vocabulary and words differ: {set(TERMS) ^ set(get_args(What))}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Datum(Record):
    """One functional figure of an item or of a circuit.

    ``part`` names the output, connection or channel that it holds for; blank, the whole item.
    ``value`` is a figure with its tolerance ("24 V ± 10 %", "<= 340 ohm", "21.6 to 28.8 V") or a
    word; ``at`` the current at which it holds.
    """

    what: What
    value: str
    at: str = ""
    part: str = ""
    evidence: Evidence = Evidence()

    def __post_init__(self) -> None:
        Record.__post_init__(self)
        term = TERMS[self.what]
        if isinstance(term.values, Kind):
            self._read("value", self.value, term.values)
        elif term.values and self.value not in term.values:
            named = ", ".join(term.values)
            raise InputError(f"Datum {self.what!r}, value: {self.value!r} is not one of {named}")
        if self.at and term.at is None:
            raise InputError(f"Datum {self.what!r}, at: {self.at!r} given; wanted blank")
        if self.at and term.at is not None:
            self._read("at", self.at, term.at)

    def _read(self, name: str, text: str, kind: Kind) -> Spread:
        try:
            return read_spread(text, kind)
        except InputError as error:
            raise InputError(f"Datum {self.what!r}, {name}: {error}") from None

    @property
    def spread(self) -> Spread:
        """The figure with its tolerance.

        Raises
        ------
        InputError
            The value of this word is no quantity.
        """
        kind = TERMS[self.what].values
        if not isinstance(kind, Kind):
            raise InputError(f"Datum {self.what!r} is a word, no quantity")
        return self._read("value", self.value, kind)

    @property
    def argument(self) -> float:
        """Where it holds [SI]; NaN where it holds everywhere."""
        kind = TERMS[self.what].at
        return self._read("at", self.at, kind or CURRENT).nominal if self.at else float("nan")
