"""Lines and tables: widths, cuts, colour on terminals only."""

from __future__ import annotations

import io

import pytest

from subspark.cli.paper import Cell, Column, Paper, cut, width_of


class Terminal(io.StringIO):
    encoding = "utf-8"

    def isatty(self):
        return True


@pytest.mark.parametrize(
    ("text", "cells"), [("", 0), ("PT-1", 4), ("°C µ", 4), ("水位", 4), ("e\u0301", 1)]
)
def test_width_counts_cells(text, cells):
    assert width_of(text) == cells


def test_what_is_cut_is_marked():
    assert cut("hydrogen", 8) == "hydrogen"
    assert cut("hydrogen", 5) == "hydr…"
    assert cut("水位計器", 5) == "水位…"


@pytest.mark.parametrize(
    ("share", "bar"),
    [(None, ""), (0.0, "·····"), (0.01, "█····"), (0.5, "██···"), (1.0, "█████"), (7.0, "█████")],
)
def test_a_bar_is_full_at_100_percent(share, bar):
    paper = Paper(Terminal())
    assert paper.bar(share, 5, "safe").text == bar


def test_a_terminal_gets_colour_and_the_word(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    stream = Terminal()
    paper = Paper(stream)
    paper.line(paper.verdict("unsafe"))
    assert "◆ unsafe" in stream.getvalue()
    assert "\x1b[" in stream.getvalue()


def test_no_color_is_honoured(monkeypatch):
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("NO_COLOR", "1")
    stream = Terminal()
    paper = Paper(stream)
    paper.line(paper.verdict("unsafe"))
    assert stream.getvalue() == "◆ unsafe\n"


def test_square_brackets_are_text_and_not_markup(monkeypatch):
    monkeypatch.setenv("NO_COLOR", "1")
    stream = Terminal()
    Paper(stream).line(Cell("[red][Ex ia Ga] IIC", "title"))
    assert "[red][Ex ia Ga] IIC" in stream.getvalue()


def test_the_flexible_column_gives_way(monkeypatch):
    monkeypatch.setenv("COLUMNS", "40")
    stream = io.StringIO()
    columns = [Column("tag"), Column("service", flexible=True), Column("used", right=True)]
    Paper(stream).table(columns, [("PT-1", "x" * 60, "100 %"), ("PT-2", "y", "7 %")])
    lines = stream.getvalue().splitlines()
    assert max(map(len, lines)) == 40
    assert lines[1].endswith("..  100 %")
    assert lines[2].endswith("  7 %")
