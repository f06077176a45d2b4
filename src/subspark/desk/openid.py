"""Signing in through an OpenID Connect provider, where the desk was started with one.

Authlib does the protocol: the code flow with PKCE, state and nonce, the provider's keys, and the
checks of its token. Here is what we ask of it, and what we refuse beyond. The provider says who
somebody is; what she may do stays with the roles of the desk.
"""

from __future__ import annotations

import functools
from typing import Any
from urllib.parse import parse_qs, urlsplit

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from subspark.desk.provider import Provider
from subspark.errors import SubsparkError
from subspark.store.models import Person
from subspark.store.people import person_of_identity

__all__ = ["RefusedError", "begin", "finish", "provider", "state_of"]

_ALGORITHMS = (
    "RS256",
    "RS384",
    "RS512",
    "PS256",
    "PS384",
    "PS512",
    "ES256",
    "ES384",
    "ES512",
    "EdDSA",
)
"""Signatures by a key of the provider's alone: no shared secret, and never none."""

_TIMEOUT = 10  # seconds that the provider has for an answer
_NOW = 60  # seconds by which clocks may differ


def provider() -> Provider | None:
    """The provider of this desk; None where it was started with none."""
    found: Provider | None = getattr(settings, "SUBSPARK_OPENID", None)
    return found


class RefusedError(SubsparkError):
    """What the provider sent does not hold; the log says why."""


@functools.cache
def _client(known: Provider) -> Any:  # noqa: ANN401 - Authlib has no types
    from authlib.integrations.django_client import OAuth

    return OAuth().register(
        "openid",
        client_id=known.client,
        client_secret=known.secret or None,
        server_metadata_url=f"{known.issuer.rstrip('/')}/.well-known/openid-configuration",
        client_kwargs={
            "scope": "openid email",
            "code_challenge_method": "S256",
            "default_timeout": _TIMEOUT,
            **({} if known.secret else {"token_endpoint_auth_method": "none"}),
        },
    )


def _ready(known: Provider) -> Any:  # noqa: ANN401 - Authlib has no types
    """The client, once the provider has told of itself what we expect."""
    client = _client(known)
    try:
        told = client.load_server_metadata()
    except Exception as error:  # of the network, of the text: any of several libraries'
        _client.cache_clear()
        raise RefusedError(f"{known.host} does not answer: {error}") from error
    if told.get("issuer") != known.issuer:
        _client.cache_clear()
        raise RefusedError(f"{known.host} calls itself {told.get('issuer')!r}")
    offered = told.get("id_token_signing_alg_values_supported") or ["RS256"]
    told["id_token_signing_alg_values_supported"] = [one for one in offered if one in _ALGORITHMS]
    return client


def begin(request: HttpRequest, known: Provider, back: str) -> HttpResponse:
    """Send the person to the provider.

    Parameters
    ----------
    back : str
        The address to which the provider sends her back.

    Raises
    ------
    RefusedError
        The provider cannot be reached, or is another than it was said to be.
    """
    answer: HttpResponse = _ready(known).authorize_redirect(request, back)
    return answer


def state_of(answer: HttpResponse) -> str:
    """The state with which somebody was sent off."""
    return parse_qs(urlsplit(answer.headers["Location"]).query)["state"][0]


def finish(request: HttpRequest, known: Provider) -> Person:
    """The person whom the provider has sent back.

    Raises
    ------
    RefusedError
        What it sent does not hold: state, signature, issuer, audience, nonce or time.
    UsageError
        It holds, and nobody here is meant.
    """
    client = _ready(known)
    options = {
        "iss": {"essential": True, "value": known.issuer},
        "aud": {"essential": True, "value": known.client},
        "sub": {"essential": True},
        "exp": {"essential": True},
        "nonce": {"essential": True},
    }
    try:
        token = client.authorize_access_token(request, claims_options=options, leeway=_NOW)
    except Exception as error:  # of the token, the keys, the network: any of several libraries'
        raise RefusedError(f"{known.host}: {type(error).__name__}: {error}") from error
    claims = token.get("userinfo")
    if not claims:
        raise RefusedError(f"{known.host} sent no identity")
    subject, email = claims.get("sub"), claims.get("email")
    if not isinstance(subject, str) or not 0 < len(subject) <= 255:
        raise RefusedError(f"{known.host} sent no subject")
    return person_of_identity(
        known.issuer,
        subject,
        email if isinstance(email, str) else "",
        verified=claims.get("email_verified") is True,
    )
