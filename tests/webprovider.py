"""A small OpenID provider for tests: the code flow with PKCE, and every way of lying in it.

Written from OpenID Connect Core 1.0 (sections 3.1.2 and 3.1.3), Discovery 1.0 and RFC 7636; it
shares no code with the library that the desk uses but the signing of tokens.
"""

from __future__ import annotations

import base64
import hashlib
import json
import secrets
import threading
import time
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import parse_qs, urlencode, urlsplit

CLIENT = "the-desk"


class Provider:
    """Its keys, the person who stands before it, and the lie that it is to tell."""

    def __init__(self, issuer):
        from joserfc.jwk import RSAKey

        self.issuer = issuer
        self.key = RSAKey.generate_key(2048, {"kid": "one", "use": "sig"})
        self.other = RSAKey.generate_key(2048, {"kid": "one", "use": "sig"})
        self.person = {"sub": "s-1", "email": "ana@works.example", "email_verified": True}
        self.lie = ""
        self.codes = {}
        self.asked = []

    def metadata(self):
        return {
            "issuer": "https://another.example" if self.lie == "name" else self.issuer,
            "authorization_endpoint": f"{self.issuer}/authorize",
            "token_endpoint": f"{self.issuer}/token",
            "jwks_uri": f"{self.issuer}/keys",
            "response_types_supported": ["code"],
            "id_token_signing_alg_values_supported": ["RS256", "HS256", "none"],
            "code_challenge_methods_supported": ["S256"],
        }

    def authorize(self, given):
        """The address to which the person is sent back, once she has signed in here."""
        if given.get("code_challenge_method") != "S256" or "code_challenge" not in given:
            raise AssertionError("no PKCE")
        code = secrets.token_urlsafe(16)
        self.codes[code] = given
        return f"{given['redirect_uri']}?{urlencode({'code': code, 'state': given['state']})}"

    def token(self, given):
        """What a code is good for; None where it is not."""
        asked = self.codes.pop(given.get("code"), None)
        if asked is None or given.get("redirect_uri") != asked["redirect_uri"]:
            return None
        digest = hashlib.sha256(given.get("code_verifier", "").encode()).digest()
        if base64.urlsafe_b64encode(digest).decode().rstrip("=") != asked["code_challenge"]:
            return None
        found = {"access_token": "a", "token_type": "Bearer", "expires_in": 60}
        if self.lie != "no token":
            found["id_token"] = self.id_token(asked)
        return found

    def id_token(self, asked):
        from joserfc import jwt

        now = int(time.time())
        claims = {
            "iss": self.issuer,
            "aud": CLIENT,
            "iat": now,
            "exp": now + 300,
            "nonce": asked["nonce"],
            **self.person,
        }
        claims |= {
            "issuer": {"iss": "https://another.example"},
            "audience": {"aud": "another-client"},
            "audiences": {"aud": [CLIENT, "another-client"], "azp": "another-client"},
            "nonce": {"nonce": "another"},
            "expired": {"iat": now - 7200, "exp": now - 3600},
        }.get(self.lie, {})
        for lie, claim in (("no nonce", "nonce"), ("no audience", "aud"), ("no subject", "sub")):
            if self.lie == lie:
                del claims[claim]
        if self.lie == "unsigned":
            parts = ({"alg": "none"}, claims)
            told = [base64.urlsafe_b64encode(json.dumps(one).encode()) for one in parts]
            return b".".join([*(one.rstrip(b"=") for one in told), b""]).decode()
        if self.lie == "public key as secret":
            from joserfc.jwk import OctKey

            key = OctKey.import_key(self.key.as_pem(private=False))
            return jwt.encode({"alg": "HS256"}, claims, key, algorithms=["HS256"])
        key = self.other if self.lie == "signature" else self.key
        return jwt.encode({"alg": "RS256", "kid": "one"}, claims, key)


class _Handler(BaseHTTPRequestHandler):
    def log_message(self, *_):
        pass

    @property
    def provider(self):
        return self.server.provider

    def _answer(self, status, plain, **headers):
        body = json.dumps(plain).encode()
        self.send_response(status)
        for name, value in {"Content-Type": "application/json", **headers}.items():
            self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def do_GET(self):
        parts = urlsplit(self.path)
        self.provider.asked.append(parts.path)
        if parts.path == "/.well-known/openid-configuration":
            self._answer(200, self.provider.metadata())
        elif parts.path == "/keys":
            self._answer(200, {"keys": [self.provider.key.as_dict(private=False)]})
        elif parts.path == "/authorize":
            given = {name: values[0] for name, values in parse_qs(parts.query).items()}
            self._answer(302, {}, Location=self.provider.authorize(given))
        else:
            self._answer(404, {})

    def do_POST(self):
        self.provider.asked.append(self.path)
        text = self.rfile.read(int(self.headers["Content-Length"])).decode()
        given = {name: values[0] for name, values in parse_qs(text).items()}
        found = self.provider.token(given) if self.path == "/token" else None
        self._answer(200, found) if found else self._answer(400, {"error": "invalid_grant"})


@contextmanager
def serving():
    """The provider at a port of this machine."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), _Handler)
    server.daemon_threads = True
    server.provider = Provider(f"http://127.0.0.1:{server.server_port}")
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield server.provider
    finally:
        server.shutdown()
        server.server_close()
        thread.join(10)
