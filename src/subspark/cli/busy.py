"""A sign of life on standard error while something takes long, on a terminal only."""

from __future__ import annotations

import sys
import threading
from typing import TYPE_CHECKING, Self

if TYPE_CHECKING:
    from types import TracebackType

    from rich.status import Status

__all__ = ["Busy"]

_PATIENCE = 0.7  # seconds before anything is shown


class Busy:
    """Shows what is being done, if it takes longer than a moment.

    with Busy("reading plant.xlsx") as busy:
        ...
        busy.says("judging 214 circuits")
    """

    def __init__(self, message: str) -> None:
        self._message = message
        self._status: Status | None = None
        self._lock = threading.Lock()
        self._ended = False
        self._timer: threading.Timer | None = None

    def __enter__(self) -> Self:
        if sys.stderr.isatty():
            self._timer = threading.Timer(_PATIENCE, self._show)
            self._timer.daemon = True
            self._timer.start()
        return self

    def _show(self) -> None:
        from rich.console import Console
        from rich.status import Status

        with self._lock:
            if not self._ended:
                self._status = Status(self._message, console=Console(stderr=True), spinner="line")
                self._status.start()

    def says(self, message: str) -> None:
        """Say what is being done now."""
        with self._lock:
            self._message = message
            if self._status is not None:
                self._status.update(message)

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        with self._lock:
            self._ended = True
            if self._timer is not None:
                self._timer.cancel()
            if self._status is not None:
                self._status.stop()
