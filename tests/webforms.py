"""Forms of pages, read as a browser reads them."""

from __future__ import annotations

import re
from html import unescape

__all__ = ["form_of"]


def form_of(text):
    """The fields of the form of a page, as a browser would send them."""
    form = re.search(r'<form id="try".*?</form>', text, re.DOTALL)[0]
    sent = {}
    for tag in re.findall(r"<input\b[^>]*>", form):
        found = {name: unescape(held) for name, held in re.findall(r'([\w-]+)="([^"]*)"', tag)}
        if "name" in found:
            sent[found["name"]] = found.get("value", "")
    selects = re.compile(r'<select[^>]*\sname="([^"]+)"[^>]*>(.*?)</select>', re.DOTALL)
    for name, inside in selects.findall(form):
        chosen = re.search(r'value="([^"]*)" selected', inside)
        sent[name] = unescape(chosen[1]) if chosen else ""
    return sent
