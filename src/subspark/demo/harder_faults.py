"""Deliberate faults among the harder circuits of the demo plant."""

from __future__ import annotations

from typing import Final

from subspark.demo.deliberate import DeliberateFault

__all__ = ["HARDER_FAULTS"]


def _beside(tag: str, first: str, rule: str) -> DeliberateFault:
    """The other half of a fault that two or three circuits of one cable make together."""
    return DeliberateFault(
        tag=tag,
        rule=rule,
        verdict="unsafe",
        story=f"It shares the cable of {first}: whole circuits merge, so what is wrong there is "
        "wrong here.",
        mended=f"By what mends {first}.",
    )


HARDER_FAULTS: Final = (
    DeliberateFault(
        tag="PI-1191",
        rule="permitted current",
        verdict="unsafe",
        story="So that the panel stays alive a second supply was put in parallel: each is fit by "
        "itself, but 180 mA together are above the 143 mA that are permitted at 26 V.",
        mended="Feed it by two RW-2012, as PT-1141, or by one supply.",
    ),
    DeliberateFault(
        tag="VE-1191",
        rule="voltage",
        verdict="unsafe",
        story="The probe was chosen for the -20 V of its supply; the signal channel of +9.6 V is "
        "of opposite polarity and adds to 29.6 V, above Ui of 28 V.",
        mended="Fit the probe SV-P9 with Ui 32 V, as VE-1141.",
    ),
    DeliberateFault(
        tag="ZT-1192",
        rule="voltage",
        verdict="unsafe",
        story="The coder (Ui 10.5 V) went into an old multicore of neither type A nor B; a fault "
        "in the cable puts the 12.6 V of its neighbour PT-1194 on it.",
        mended="Lay it in a cable of its own.",
    ),
    _beside("PT-1194", "ZT-1192", "voltage"),
    DeliberateFault(
        tag="PI-1192",
        rule="permitted current",
        verdict="unsafe",
        story="Three barrier circuits of 60 mA share an old multicore: with a common return two "
        "faults join all three, and 180 mA are above the 174 mA permitted at 24 V; only pairs "
        "had been looked at.",
        mended="Take one of the three out of the cable.",
    ),
    _beside("PI-1193", "PI-1192", "permitted current"),
    _beside("PI-1194", "PI-1192", "permitted current"),
    DeliberateFault(
        tag="LT-1092",
        rule="surge device",
        verdict="unsafe",
        story="The surge arrester of a transmitter in the vent was mounted where there was room, "
        "2 m from zone 0.",
        mended="Move the arrester to within 1 m of the boundary, as at LT-1061.",
    ),
    DeliberateFault(
        tag="AT-2091",
        rule="box temperature",
        verdict="unsafe",
        story="The small box of the analyser was lagged against frost: with 85 K/W the 2.25 W of "
        "its supply bring it to 231 °C in the sun, and the area asks T3.",
        mended="Take the lagging off, or fit a larger box with less than 71 K/W.",
    ),
    DeliberateFault(
        tag="TE-4591",
        rule="temperature class",
        verdict="unsafe",
        story="The Pt100 was assessed with the 50 °C of the compressor house; it sits on a line "
        "of 120 °C, and 203 mW of its barrier make that 142 °C.",
        mended="Use the isolator RW-1110, which can feed no more than 39.6 mW.",
    ),
    DeliberateFault(
        tag="TE-1192",
        rule="capacitance",
        also=("inductance",),
        verdict="unproven",
        story="The sensor side of the transmitter was proved by itself, but its document does not "
        "say that it is separated from the loop.",
        mended="Find the statement in its certificate, or fit DS-H60, which has it.",
    ),
    DeliberateFault(
        tag="TT-1192",
        rule="capacitance",
        also=("inductance",),
        verdict="unproven",
        story="The loop of the same transmitter: where its sensor side is not separated, the "
        "sensor's cable is part of this circuit too, and nobody has counted it.",
        mended="As for TE-1192: the statement in its certificate, or DS-H60 in its place.",
    ),
    DeliberateFault(
        tag="AT-2092",
        rule="own energy",
        verdict="unproven",
        story="The analyser has a mains supply of its own, and nobody has asked what its output "
        "can feed back into the circuit.",
        mended="Find in its document that the output is passive (as of TG-20), or enter its "
        "terminals as a source.",
    ),
    DeliberateFault(
        tag="PI-1195",
        rule="capacitance",
        also=("inductance", "permitted current"),
        verdict="unproven",
        story="Three inputs read one indicator, and the polarity of the third was left out: they "
        "may then be joined in mixed ways, one in series with two in parallel.",
        mended="Read the terminal plan and state the polarity, as at PI-1151.",
    ),
    DeliberateFault(
        tag="ZT-1193",
        rule="voltage",
        verdict="unsafe",
        story="The 22 V of the a.c. barrier are r.m.s.; the peak is 31.1 V, above Ui of 30 V.",
        mended="Use a barrier of 21 V r.m.s. or less.",
    ),
    DeliberateFault(
        tag="BE-2091",
        rule="simple",
        verdict="unsafe",
        story="A third photocell was put in series: each is simple apparatus by itself, but 1.8 V "
        "together are more than the 1.5 V that pass as simple.",
        mended="Take the third cell out, or use a certified flame detector.",
    ),
)
