"""What fits: every source of a catalogue against a circuit, in an order that a person can read."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property

from subspark.assess import assess
from subspark.assess.engine import NO_RULE
from subspark.assess.function.findings import word
from subspark.assess.words import percent
from subspark.choose.around import around
from subspark.choose.candidates import Candidate, candidates_of, with_source
from subspark.choose.filters import Filtered, Wishes, facts_of, filtered
from subspark.choose.table import Table, plain
from subspark.choose.table_function import FunctionTable
from subspark.errors import UsageError
from subspark.model import Circuit, Plant, SourceType
from subspark.physics.ignition import Curves
from subspark.rules import RULES, Verdict

__all__ = ["Fit", "Search", "fits"]


@dataclass(frozen=True, slots=True)
class Fit:
    """One candidate for one circuit.

    ``utilisation`` and ``works_utilisation`` are those of the closest limits of safety and of
    function; ``judged`` says whether function can be judged in this circuit at all. ``proved``
    says that the circuit with this source was assessed whole, among all that it is bound to.
    """

    candidate: Candidate
    verdict: Verdict
    governing: str
    utilisation: float | None
    works: Verdict
    works_governing: str
    works_utilisation: float | None
    judged: bool
    filters: Filtered
    price: float | None
    stock: float | None
    present: bool
    margin: float
    proved: bool

    @property
    def label(self) -> str:
        """Name for people."""
        return self.candidate.label

    @property
    def used(self) -> float | None:
        """The larger utilisation of safety and function."""
        known = [one for one in (self.utilisation, self.works_utilisation) if one is not None]
        return max(known, default=None)

    @property
    def tier(self) -> int:
        """How far down the list it belongs.

        0 serves; 1 something of function or of a filter is open; 2 safety is unproven; 3 does
        not work; 4 unsafe; 5 a filter refuses it, or its margin is too small.
        """
        if self.filters.refused:
            return 5
        if self.verdict is Verdict.UNSAFE:
            return 4
        if self.judged and self.works is Verdict.UNSAFE:
            return 3
        if self.verdict is not Verdict.SAFE:
            return 2
        if self.used is not None and self.used > self.margin:
            return 5
        if self.filters.open or (self.judged and self.works is not Verdict.SAFE):
            return 1
        return 0

    @property
    def serves(self) -> bool:
        """Whether it may be taken: safe, works where that can be judged, no filter against it."""
        return self.tier == 0

    @property
    def reason(self) -> str:
        """Why it does not serve, in one phrase; blank where it does."""
        if self.filters.refused:
            return self.filters.refused[0]
        if self.verdict is Verdict.UNSAFE:
            return f"unsafe: {_limit(self.governing, self.utilisation)}"
        if self.judged and self.works is Verdict.UNSAFE:
            return f"fails: {_limit(self.works_governing, self.works_utilisation)}"
        if self.verdict is not Verdict.SAFE:
            return f"unproven: {self.governing}"
        if self.used is not None and self.used > self.margin:
            closest = self.governing
            if self.works_utilisation is not None and self.used == self.works_utilisation:
                closest = self.works_governing
            return f"margin: {_limit(closest, self.used)}, wanted {percent(self.margin)} at most"
        if self.judged and self.works is not Verdict.SAFE:
            return f"function unproven: {self.works_governing or 'role of the source'}"
        return self.filters.open[0] if self.filters.open else ""

    @property
    def works_word(self) -> str:
        """Whether it works, in a word."""
        return word(self.works) if self.judged else "not judged"

    @property
    def order(self) -> tuple[int, float, float, float, str]:
        """The order of the list: tier, what is used of the closest limit, price, stock, name."""
        return (
            self.tier,
            math.inf if self.used is None else float(f"{self.used:.6g}"),
            math.inf if self.price is None else self.price,
            0.0 if self.stock is None else -self.stock,
            self.label,
        )


def _limit(rule: str, used: float | None) -> str:
    return rule if used is None else f"{rule}, {percent(used)} used"


def _useless(found: Filtered, role: str) -> Filtered:
    """The filters, with that of the role: some sources are of no use to some circuits."""
    if not role:
        return found
    return Filtered((*found.refused, f"role: a {role} is of no use here"), found.open)


def _known(value: float) -> float | None:
    return None if math.isnan(value) else value


_VERDICTS = tuple(Verdict)
"""By their numbers, which start at 0."""


class Search:
    """A catalogue ready to be searched for circuits of one plant.

    Parameters
    ----------
    plant : Plant
    sources : sequence of SourceType, optional
        The catalogue; by default the plant's own sources.
    wishes : Wishes
        Filters for every circuit.
    margin : float
        The largest share of any limit that may be used.
    curves : Curves, optional
        A printed table of ignition values in place of the reference values.
    """

    def __init__(
        self,
        plant: Plant,
        sources: Sequence[SourceType] | None = None,
        wishes: Wishes | None = None,
        margin: float = 1.0,
        curves: Curves | None = None,
    ) -> None:
        if not 0.0 < margin <= 1.0:
            raise UsageError(f"margin {margin:g}: wanted a share above 0 and up to 1")
        self.wishes = Wishes() if wishes is None else wishes
        self.margin, self.curves = margin, curves
        self.candidates = candidates_of(plant.sources if sources is None else sources)
        self.table = Table.of(plant, self.candidates, curves)
        self.plant = self.table.context.plant
        self.function = FunctionTable(self.table.context, tuple(self.candidates))
        self._filtered: dict[object, list[Filtered]] = {}

    @cached_property
    def _known_of(self) -> list[tuple[float | None, float | None, str]]:
        """Price, stock and role of each candidate."""
        out = []
        for one in self.candidates:
            facts = facts_of(one)
            price, stock = facts.spread("price").nominal, facts.spread("stock").nominal
            out.append((_known(price), _known(stock), facts.word("role")))
        return out

    def _filters(self, circuit: Circuit) -> list[Filtered]:
        """What the filters say of each candidate; kept for circuits that wish the same."""
        found = self._filtered.get(circuit.function)
        if found is None:
            found = [filtered(circuit, one, self.wishes) for one in self.candidates]
            self._filtered[circuit.function] = found
        return found

    def _bare(self, circuit: Circuit, at: int) -> list[Fit]:
        """The candidates by the arrays alone: what holds for the circuit taken by itself."""
        safety, works = self.table.against(circuit), self.function.against(circuit)
        judged = self.function.judgeable(circuit)
        present, filters = circuit.sources[at], self._filters(circuit)
        columns = (
            safety.verdict.tolist(),
            safety.governing.tolist(),
            safety.utilisation.tolist(),
            works.verdict.tolist(),
            works.governing,
            works.utilisation.tolist(),
        )
        out = []
        for place, (said, index, used, function, rule, share) in enumerate(
            zip(*columns, strict=True)
        ):
            one = self.candidates[place]
            price, stock, role = self._known_of[place]
            out.append(
                Fit(
                    candidate=one,
                    verdict=_VERDICTS[said],
                    governing="" if index == NO_RULE else RULES[index].name,
                    utilisation=_known(used),
                    works=_VERDICTS[function],
                    works_governing=rule,
                    works_utilisation=_known(share),
                    judged=judged,
                    filters=_useless(filters[place], role)
                    if judged and not rule
                    else filters[place],
                    price=price,
                    stock=stock,
                    present=present.source == one.kind.name
                    and present.outputs in ("", one.outputs),
                    margin=self.margin,
                    proved=False,
                )
            )
        return out

    def prove(self, circuit: Circuit, fit: Fit, at: int = 0) -> Fit:
        """The candidate again, with the circuit assessed whole among all that it is bound to."""
        changed = with_source(circuit, fit.candidate, at)
        part = around(self.plant, [circuit])
        circuits = tuple(changed if one.tag == circuit.tag else one for one in part.circuits)
        assessment = assess(
            dataclasses.replace(part, circuits=circuits), [circuit.tag], curves=self.curves
        )
        (found,) = assessment.summaries()
        works = assessment.function[circuit.tag]
        return dataclasses.replace(
            fit,
            verdict=found.verdict,
            governing=found.governing,
            utilisation=found.utilisation,
            works=works.verdict,
            works_governing=works.governing,
            works_utilisation=works.utilisation,
            proved=True,
        )

    def fits(self, tag: str, top: int | None = None, at: int = 0) -> list[Fit]:
        """Every candidate for a circuit, best first.

        Parameters
        ----------
        tag : str
            The circuit.
        top : int, optional
            How many of the list are wanted.
        at : int
            Which source of the circuit is replaced, where it has several.

        Returns
        -------
        list of Fit
            Safe and working first, then by what is left of the closest limit, price, stock.

        Raises
        ------
        UsageError
            There is no such circuit, or no such source of it.
        """
        return self.fits_of(self.plant.circuit(tag), top, at)

    def fits_of(self, circuit: Circuit, top: int | None = None, at: int = 0) -> list[Fit]:
        """Every candidate for a circuit, whether or not the plant lists it; see :meth:`fits`."""
        tag = circuit.tag
        if not 0 <= at < len(circuit.sources):
            count = len(circuit.sources)
            raise UsageError(f"{tag} has {count} sources; wanted one of them, from 1")
        if len(circuit.sources) != 1 or circuit.method != "entity" or circuit.system:
            # Nothing in the arrays bounds such a circuit, so each candidate is proved.
            blank = [self._nothing(circuit, one, at) for one in self.candidates]
            return self._proved(circuit, blank, None, at)[:top]
        found = sorted(self._bare(circuit, at), key=lambda one: one.order)
        if plain(circuit, self.table.context):
            return found[:top]
        return self._proved(circuit, found, top, at)

    def _nothing(self, circuit: Circuit, one: Candidate, at: int) -> Fit:
        facts, present = facts_of(one), circuit.sources[at]
        return Fit(
            candidate=one,
            verdict=Verdict.SAFE,
            governing="",
            utilisation=None,
            works=Verdict.SAFE,
            works_governing="",
            works_utilisation=None,
            judged=self.function.judgeable(circuit),
            filters=filtered(circuit, one, self.wishes),
            price=_known(facts.spread("price").nominal),
            stock=_known(facts.spread("stock").nominal),
            present=present.source == one.kind.name and present.outputs in ("", one.outputs),
            margin=self.margin,
            proved=False,
        )

    def _proved(
        self, circuit: Circuit, found: Iterable[Fit], top: int | None, at: int
    ) -> list[Fit]:
        """The list of a circuit that is bound to others, each candidate proved among them.

        The arrays tell what cannot serve: bound to others, a circuit can only lose. So proving
        goes down the list until as many as are wanted stand above all that is not yet proved.
        """
        waiting = list(found)
        proved: list[Fit] = []
        wanted = len(waiting) if top is None else top
        while waiting:
            proved.append(self.prove(circuit, waiting.pop(0), at))
            proved.sort(key=lambda one: one.order)
            if len(proved) >= wanted and (
                not waiting or proved[wanted - 1].order <= waiting[0].order
            ):
                break
        return proved[:top]


def fits(
    plant: Plant,
    tag: str,
    *,
    margin: float = 1.0,
    top: int | None = None,
    sources: Sequence[SourceType] | None = None,
    wishes: Wishes | None = None,
    curves: Curves | None = None,
) -> list[Fit]:
    """Every source of a catalogue for one circuit, best first; see :meth:`Search.fits`.

    Examples
    --------
    >>> from subspark.demo import build_plant
    >>> best = fits(build_plant(), "PT-1101", top=3)
    >>> [one.verdict.word for one in best]
    ['safe', 'safe', 'safe']
    """
    return Search(plant, sources, wishes, margin, curves).fits(tag, top)
