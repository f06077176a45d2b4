"""Who answers for a paper: signatures with dates, and the reason of its revision.

What is open is never signed: a signature stands under a proof, and an unsafe or unproven circuit
has none.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass

from subspark.errors import UsageError
from subspark.rules import Verdict

__all__ = ["ROLES", "Signature", "Signing"]

ROLES = ("designer", "checker", "approver")
"""Who signs; all three make a paper signed."""


@dataclass(frozen=True, slots=True)
class Signature:
    """Who signed, as what ("designer", "checker", "approver"), and when ("2026-03-01")."""

    role: str
    name: str
    date: str


def _is_day(text: str) -> bool:
    try:
        return dt.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def _checked(one: Signature) -> None:
    if one.role not in ROLES:
        raise UsageError(f"signature as {one.role!r}: wanted one of {', '.join(ROLES)}")
    if not one.name.strip():
        raise UsageError(f"signature as {one.role}: no name; wanted NAME and a date")
    if not _is_day(one.date):
        raise UsageError(
            f"signature as {one.role}, date {one.date!r}: wanted a day such as 2026-03-01"
        )


@dataclass(frozen=True, slots=True)
class Signing:
    """The signatures under a revision, and why it was made.

    Raises
    ------
    UsageError
        A role twice or unknown, a blank name, or a date that is none.
    """

    signatures: tuple[Signature, ...] = ()
    reason: str = ""

    def __post_init__(self) -> None:
        for one in self.signatures:
            _checked(one)
        roles = [one.role for one in self.signatures]
        if twice := next((role for role in roles if roles.count(role) > 1), ""):
            raise UsageError(f"signature as {twice}: given twice; wanted one")

    @property
    def complete(self) -> bool:
        """Whether all have signed."""
        return {one.role for one in self.signatures} == set(ROLES)

    @property
    def date(self) -> str:
        """Day of the last signature, once all have signed."""
        return max(one.date for one in self.signatures) if self.complete else ""

    def name(self, role: str) -> str:
        """Who signed in a role; blank where nobody has."""
        return next((one.name for one in self.signatures if one.role == role), "")

    def rows(self) -> list[list[str]]:
        """Role, name and date of each, blank where nobody has signed."""
        held = {one.role: one for one in self.signatures}
        blank = Signature("", "", "")
        return [[role, (one := held.get(role, blank)).name, one.date] for role in ROLES]

    def under(self, verdict: Verdict) -> Signing:
        """The same, without signatures where nothing is proved; the reason stays."""
        return self if verdict is Verdict.SAFE else Signing(reason=self.reason)

    def check(self, unproved: Iterable[tuple[str, Verdict]]) -> None:
        """Refuse signatures under circuits that are not safe.

        Parameters
        ----------
        unproved : iterable of tuple
            Tags and verdicts of what is to be signed.

        Raises
        ------
        UsageError
            One of them is unsafe or unproven.
        """
        for tag, verdict in unproved if self.signatures else ():
            if verdict is not Verdict.SAFE:
                raise UsageError(
                    f"circuit {tag!r} is {verdict.word}: what is open cannot be signed as a proof"
                )
