"""Which OpenID provider people may sign in through; nothing here needs Django or the library."""

from __future__ import annotations

from dataclasses import dataclass, field
from urllib.parse import urlsplit

from subspark.errors import UsageError

__all__ = ["Provider"]


@dataclass(frozen=True, slots=True)
class Provider:
    """An OpenID provider: its issuer, and as which client this desk is known there.

    Raises
    ------
    UsageError
        An issuer that is no https address, or no client.
    """

    issuer: str
    client: str
    secret: str = field(default="", repr=False)

    def __post_init__(self) -> None:
        parts = urlsplit(self.issuer)
        here = parts.hostname in ("127.0.0.1", "localhost", "::1")
        if not parts.netloc or parts.query or parts.fragment:
            raise UsageError(f"OpenID issuer {self.issuer!r}: wanted an address, https://...")
        if parts.scheme != "https" and not (here and parts.scheme == "http"):
            raise UsageError(f"OpenID issuer {self.issuer!r}: wanted https")
        if not self.client:
            raise UsageError("an OpenID issuer wants the client that the desk is there")

    @property
    def host(self) -> str:
        """Its name for people."""
        return urlsplit(self.issuer).netloc
