# Two commands do all set-up: `make demo` and `make test`. Both need only Python 3.11 or newer, make and git.
#
#   make demo     write the demo plant, check it, write its papers, say where things are
#   make test     everything: style, types, import contract, generated pages, tests
#   make tools    what tests use beyond Python: a browser and a database server (Debian, as root)
#   make check    the same without the tests; reports every failure, not just the first
#   make format   put the source in shape
#   make docs     write the generated pages anew
#   make bench    run the benchmarks
#   make clean    remove what the above have made
#
# Settings: VENV=folder of the environment, PYTHON=interpreter that makes it, DEMO=folder of the
# demo plant, ARGS=more arguments for pytest (make test ARGS="-k marking").

VENV   ?= .venv
PYTHON ?= $(shell command -v python3.11 || command -v python3 || command -v python)
DEMO   ?= demo-plant
ARGS   ?=

BIN       := $(VENV)/bin
PIP       := $(BIN)/python -m pip install -qq --disable-pip-version-check --no-input
USE_STAMP := $(VENV)/.installed
DEV_STAMP := $(VENV)/.installed-dev

.DEFAULT_GOAL := help
.PHONY: help demo test tools check format docs bench clean

help:
	@sed -n '2,/^$$/s/^# \{0,1\}//p' Makefile

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Subspark needs Python 3.11 or newer; say which with PYTHON=..." >&2; exit 1; }
	@echo "Making an environment in $(VENV)"
	@$(PYTHON) -m venv $(VENV)

# An existing environment is brought up to date only when pyproject.toml is newer than its stamp.
$(USE_STAMP): pyproject.toml | $(BIN)/python
	@echo "Installing Subspark into $(VENV)"
	@$(PIP) --editable '.[choose,desk,papers]'
	@touch $@

$(DEV_STAMP): pyproject.toml | $(BIN)/python
	@echo "Installing Subspark and its developer tools into $(VENV)"
	@$(PIP) --editable '.[dev]'
	@touch $(USE_STAMP) $@

# `subspark check` ends with 1 when a circuit is unsafe or unproven. The demo plant has deliberate
# faults, so here that is the expected end; anything above 1 is a real failure.
demo: $(USE_STAMP)
	@$(BIN)/subspark demo $(DEMO)
	@for plant in $(DEMO)/*.xlsx; do \
	    echo; echo "subspark check $$plant"; \
	    status=0; $(BIN)/subspark check "$$plant" || status=$$?; \
	    if [ $$status -gt 1 ]; then exit $$status; fi; \
	    papers="$(DEMO)/papers-$$(basename "$$plant" .xlsx)"; \
	    echo; echo "subspark papers $$plant -o $$papers"; \
	    $(BIN)/subspark papers "$$plant" -o "$$papers" || exit $$?; \
	done
	@echo
	@echo "The demo plant is in $(DEMO)/; its faults are deliberate:"
	@for file in $(DEMO)/*; do echo "  $$file"; done
	@echo "Next:"
	@echo "  $(BIN)/subspark explain $(DEMO)/larkfen.xlsx <TAG>   the working of one circuit"
	@echo "  $(BIN)/subspark fewest $(DEMO)/larkfen.xlsx          the fewest types that serve it"
	@echo "  $(BIN)/subspark serve                              the plant in a browser"

# A browser and a database server for the tests of the desk, from Debian's packages where that is
# possible. Where they are missing, those tests are left out and say why.
tools:
	@if [ "$$(id -u)" = 0 ] && command -v apt-get >/dev/null; then \
	    wanted=""; \
	    command -v chromium >/dev/null || wanted="$$wanted chromium"; \
	    ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || wanted="$$wanted postgresql"; \
	    command -v pdftotext >/dev/null || wanted="$$wanted poppler-utils"; \
	    if [ -n "$$wanted" ]; then \
	        echo "Installing$$wanted"; \
	        export DEBIAN_FRONTEND=noninteractive; \
	        { apt-get update -qq && apt-get install -y -qq --no-install-recommends $$wanted; } \
	            >/dev/null 2>&1 || echo "could not install$$wanted; their tests are left out" >&2; \
	    fi; \
	fi

# Tests run even when a check fails, so that one run shows everything. pytest closes the output.
test: $(DEV_STAMP) tools
	@status=0; \
	if command -v chromium >/dev/null && ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1; then \
	    export SUBSPARK_TEST_ALL=1; \
	fi; \
	$(MAKE) --no-print-directory check || status=1; \
	echo "--- tests"; \
	$(BIN)/python -m pytest -n auto $(ARGS) || status=1; \
	exit $$status

check: $(DEV_STAMP)
	@failed=""; \
	step() { name="$$1"; shift; echo "--- $$name"; "$$@" || failed="$$failed, $$name"; }; \
	step "lint" $(BIN)/ruff check --quiet .; \
	step "format" $(BIN)/ruff format --check --quiet .; \
	step "types" $(BIN)/mypy; \
	step "import contract" $(BIN)/lint-imports --no-logo; \
	step "generated pages" $(BIN)/python tools/pages.py --check; \
	if [ -n "$$failed" ]; then echo "check failed: $${failed#, }" >&2; exit 1; fi; \
	echo "check passed"

format: $(DEV_STAMP)
	@$(BIN)/ruff check --fix-only --quiet .
	@$(BIN)/ruff format .

docs: $(DEV_STAMP)
	@$(BIN)/python tools/pages.py

bench: $(DEV_STAMP)
	@for script in benchmarks/[!_]*.py; do \
	    echo "--- $$script"; $(BIN)/python "$$script" || exit 1; \
	done

clean:
	rm -rf $(VENV) $(DEMO) build dist .mypy_cache .ruff_cache .pytest_cache .hypothesis .import_linter_cache
