"""``subspark serve``: the desk on this machine, or for a team."""

from __future__ import annotations

import contextlib
import importlib.util
import io
import os
import signal
import socket
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from subspark.errors import UsageError

__all__ = ["application", "prepare", "serve"]

THREADS = 8


def _silent(_: str) -> None:
    """Say nothing."""


def prepare(
    *,
    folder: Path | None = None,
    address: str | None = None,
    hosts: Sequence[str] = (),
    https: bool = False,
    **more: Any,  # noqa: ANN401 - any setting of Django, for tests
) -> None:
    """Set Django up and bring the database to the tables of this version.

    Raises
    ------
    UsageError
        The database does not answer, or is newer than this program.
    """
    from subspark.desk.settings import begin

    begin(folder=folder, address=address, hosts=hosts, https=https, **more)
    migrate()
    from subspark.desk import tasks

    tasks.begin()


def migrate() -> None:
    """Bring the database to the tables of this version.

    Raises
    ------
    UsageError
        It does not answer, or is newer than this program.
    """
    from django.core.management import call_command
    from django.db import connection
    from django.db.migrations.executor import MigrationExecutor
    from django.db.utils import Error, OperationalError

    try:
        executor = MigrationExecutor(connection)
        known = set(executor.loader.disk_migrations)
        newer = [key for key in executor.loader.applied_migrations if key not in known]
        if any(app == "store" for app, _ in newer):
            raise UsageError(
                "the database was used by a newer version of Subspark; wanted that version"
            )
        call_command("migrate", verbosity=0, interactive=False, stdout=io.StringIO())
    except OperationalError as error:
        first = str(error).strip().splitlines()[0]
        raise UsageError(f"the database does not answer: {first}") from None
    except Error as error:
        raise UsageError(f"the database cannot be used: {error}") from None
    if connection.vendor == "sqlite":
        _for_owner_alone(Path(connection.settings_dict["NAME"]))


def _for_owner_alone(path: Path) -> None:
    if os.name == "posix" and path.is_file():
        path.chmod(0o600)


def application() -> Callable[..., Any]:
    """The desk as a WSGI application."""
    from django.core.wsgi import get_wsgi_application

    made: Callable[..., Any] = get_wsgi_application()
    return made


def serve(
    *,
    host: str = "127.0.0.1",
    port: int = 8765,
    folder: Path | None = None,
    address: str | None = None,
    hosts: Sequence[str] = (),
    https: bool = False,
    openid: tuple[str, str, str] | None = None,
    say: Callable[[str], None] = _silent,
) -> None:
    """Serve until interrupted.

    Parameters
    ----------
    host, port : str, int
        Where to listen; port 0 takes a free one.
    folder : Path, optional
        Where data are kept.
    address : str, optional
        The database; see :func:`subspark.store.setup.database`.
    hosts : sequence of str
        Further names under which the desk is reached.
    https : bool
        Whether a server in front speaks HTTPS.
    openid : tuple of str, optional
        Issuer, client and secret (blank: none) of an OpenID provider through which people may
        sign in.
    say : callable
        Told the address, line by line.

    Raises
    ------
    UsageError
        The address is taken, or the database does not answer.
    """
    prepare(
        folder=folder,
        address=address,
        hosts=[*hosts, *_own(host)],
        https=https,
        SUBSPARK_OPENID=None if openid is None else _provider(*openid),
    )
    from django.conf import settings

    from subspark.desk.tasks import resume
    from subspark.store import people
    from subspark.store.jobs import Worker
    from subspark.store.plants import backend

    listening = _listening(host, port)
    port = listening.getsockname()[1]
    keeper = people.first_keeper()
    secret = people.invite(keeper)
    shown = f"[{host}]" if ":" in host else host
    if shown in ("0.0.0.0", "[::]"):  # noqa: S104 - chosen by who starts it, and only shown here
        shown = "127.0.0.1"
    where = f"http://{shown}:{port}"
    lines = (
        f"The desk is open at {where}/ ({backend()}, data in {settings.SUBSPARK_FOLDER}).",
        f"Sign in once, within 30 minutes: {where}/enter/{secret}",
        "Ctrl+C ends it.",
    )
    _heed_signals()
    for line in lines:
        say(line)
    threading.Thread(target=_fonts, args=(Path(settings.SUBSPARK_FOLDER),), daemon=True).start()
    resume()
    workers = [Worker(), Worker(("judge",))]  # verdicts do not wait for papers
    for worker in workers:
        worker.start()
    try:
        _run(listening, https=https)
    finally:
        for worker in workers:
            worker.stop()


def _heed_signals() -> None:
    """End in good order by Ctrl+C and by SIGTERM, also where a script started it in background."""
    if threading.current_thread() is threading.main_thread():
        for one in (signal.SIGINT, signal.SIGTERM):
            signal.signal(one, _end)


def _end(*_: object) -> None:
    raise KeyboardInterrupt


def _fonts(folder: Path) -> None:
    """Make the fonts of the pages, so that the first page need not wait; once for all starts."""
    from subspark.desk import fonts

    for name in fonts.FONTS:
        with contextlib.suppress(fonts.NotThereError, OSError):
            fonts.made(name, folder / "fonts")


def _provider(issuer: str, client: str, secret: str) -> Any:  # noqa: ANN401 - Django is not set up
    """The provider by which people may sign in, where its library is there."""
    if importlib.util.find_spec("authlib") is None or importlib.util.find_spec("requests") is None:
        raise UsageError(
            "to sign in by OpenID takes a library that is not installed; wanted: pip install "
            "'subspark[desk,openid]'"
        )
    from subspark.desk.provider import Provider

    return Provider(issuer, client, secret)


def _own(host: str) -> list[str]:
    return [] if host in ("127.0.0.1", "localhost", "0.0.0.0", "::", "::1") else [host]  # noqa: S104


def _listening(host: str, port: int) -> socket.socket:
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    listening = socket.socket(family, socket.SOCK_STREAM)
    try:
        if os.name == "posix":
            listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen(128)
    except OSError as error:
        listening.close()
        why = error.strerror or str(error)
        raise UsageError(f"cannot listen at {host} port {port}: {why.lower()}") from None
    return listening


def _run(listening: socket.socket, *, https: bool) -> None:
    import waitress

    proxy = (
        {
            "trusted_proxy": "127.0.0.1",
            "trusted_proxy_headers": {"x-forwarded-proto", "x-forwarded-for"},
        }
        if https
        else {}
    )
    waitress.serve(
        application(),
        sockets=[listening],
        threads=THREADS,
        ident="subspark",
        max_request_body_size=80 * 2**20,
        channel_timeout=60,
        clear_untrusted_proxy_headers=True,
        _quiet=True,
        **proxy,
    )
