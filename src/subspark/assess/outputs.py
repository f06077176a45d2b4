"""What an output of a source is worth, before it is asked where it is used.

It stands below the context, which needs it for what circuits of a plant do to each other: the
voltage of a multicore, the power in a junction box.
"""

from __future__ import annotations

import math

from subspark.model import Circuit, Method, Output, SourceType, SourceUse
from subspark.quantity import show
from subspark.rules import Code

__all__ = [
    "current_of",
    "is_linear",
    "outputs_used",
    "peak_voltage",
    "power_into",
    "power_of",
    "serving",
    "voltage_into",
]

NAN = math.nan


def outputs_used(use: SourceUse, kind: SourceType, method: Method) -> tuple[Output, ...]:
    """The outputs that a circuit uses, at least one; a printed combined row is one output.

    Where none is named it is the only one, or the only one with values for the method. What
    cannot be told is an output of which nothing is known: a source without outputs is not a
    circuit with one source less.
    """
    if use.outputs == "":
        own = tuple(output for output in kind.outputs if output.method == method)
        own = own if len(own) == 1 else kind.outputs
        return own if len(own) == 1 else (Output(method=method),)
    by_name = {output.name: output for output in kind.outputs}
    if use.outputs in by_name:
        return (by_name[use.outputs],)
    return tuple(
        by_name.get(part.strip(), Output(name=part.strip(), method=method))
        for part in use.outputs.split("+")
    )


def serving(output: Output, method: Method) -> Output:
    """The output, emptied where an entity proof would lean on values of another method.

    A segment keeps them: its own rule says that they are not of its method.
    """
    if output.method == method or method != "entity":
        return output
    return Output(name=output.name, method=output.method)


def is_linear(output: Output, code: Code) -> bool:
    """Whether an output is documented as resistive and its power says the same."""
    if output.shape != "linear":
        return False
    U, I, P = output.Uo.si, output.Io.si, output.Po.si  # noqa: E741 - the symbol of current
    if U * I == 0.0:
        return True
    ratio = 4.0 * P / (U * I)
    slack = 1e-12
    return code.number("linear low") - slack <= ratio <= code.number("linear high") + slack


def peak_voltage(output: Output) -> float:
    """Highest voltage of an output [V]: the peak of an a.c. one, NaN where not stated which.

    An output of 0 V is none: a zero typed for what is not known is not believed.
    """
    if output.Uo.si == 0.0 or (output.polarity == "a.c." and not output.peak):
        return NAN
    return output.Uo.si * (math.sqrt(2.0) if output.peak == "r.m.s." else 1.0)


def current_of(output: Output) -> float:
    """Io [A]; 0 only with the words of a document, else unknown."""
    I = output.Io.si  # noqa: E741 - the symbol of current
    return NAN if I == 0.0 and not output.no_current else I


def power_of(output: Output, kind: SourceType, code: Code) -> tuple[float, tuple[str, ...]]:
    """Po [W] with its assumption or doubt: blank counts as Uo Io, a contradiction as unknown."""
    U, I, P = peak_voltage(output), current_of(output), output.Po.si  # noqa: E741
    who = f"{kind.name}, output {output.name}"
    if I == 0.0:
        return (0.0 if math.isnan(P) else P), ()
    if math.isnan(P):
        if math.isnan(U * I):
            return NAN, ()
        return U * I, (
            f"{who}: Po not stated, taken as Uo x Io = {show(U * I, type(output.Po).kind)}",
        )
    if kind.cross_check == "yes":
        return P, ()
    if P == 0.0:
        return NAN, (f"{who}: declared Po is 0 beside Uo and Io; answer the cross-check",)
    if output.shape in ("linear", "") and code.number("linear low") * U * I / 4.0 * (1 - 1e-12) > P:
        return NAN, (
            f"{who}: declared Po {output.Po} is below Uo x Io / 4; answer the cross-check",
        )
    if code.number("linear high") * U * I < P:
        return P, (f"{who}: declared Po {output.Po} is above Uo x Io; it counts as declared",)
    return P, ()


def _used(circuit: Circuit, sources: dict[str, SourceType]) -> list[tuple[SourceType, Output]]:
    """The outputs of a circuit as its method reads them."""
    found = []
    for use in circuit.sources:
        kind = sources[use.source]
        outputs = outputs_used(use, kind, circuit.method)
        found += [(kind, serving(output, circuit.method)) for output in outputs]
    return found


def voltage_into(circuit: Circuit, sources: dict[str, SourceType]) -> float:
    """Highest voltage that the sources of a circuit bring into a cable [V].

    Several count in series unless they are stated to be in parallel. NaN where one is unknown,
    or where the circuit has no source.
    """
    volts = [peak_voltage(output) for _, output in _used(circuit, sources)]
    if not volts or any(math.isnan(one) for one in volts):
        return NAN
    return max(volts) if circuit.joined == "parallel" else sum(volts)


def power_into(circuit: Circuit, sources: dict[str, SourceType], code: Code) -> float:
    """Most power that the sources of a circuit bring into a box [W]; NaN as for the voltage."""
    used = _used(circuit, sources)
    return sum(power_of(output, kind, code)[0] for kind, output in used) if used else NAN
