"""The room as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig

__all__ = ["DeskConfig"]


class DeskConfig(AppConfig):
    """Pages of the desk; it has no tables."""

    name = "subspark.desk"
    label = "desk"
