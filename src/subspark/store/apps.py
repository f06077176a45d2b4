"""The room as Django knows it."""

from __future__ import annotations

from django.apps import AppConfig

__all__ = ["StoreConfig"]


class StoreConfig(AppConfig):
    """Tables of plants, people and long work."""

    name = "subspark.store"
    label = "store"
    verbose_name = "Subspark store"
    default_auto_field = "django.db.models.BigAutoField"
