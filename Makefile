# make demo    the job on an invented study, from a clean clone
# make test    installs what the tests need and runs everything
# make lint    ruff and mypy
# make messages                  the catalogue of fixed texts, made anew from the code
# make reference [CASES=PATH]    outside check values
# make acceptance                the acceptance kit, where it stands beside the checkout
PY := .venv/bin/python
SHELL := /bin/bash
CASES ?=
APT := chromium postgresql fonts-dejavu-core poppler-utils
ACCEPTANCE ?= ../shared/acceptance

.PHONY: demo serve test lint messages reference acceptance debian docs bench clean

.venv/installed: pyproject.toml constraints.txt
	test -x $(PY) || python3 -m venv .venv
	$(PY) -m pip install --quiet --disable-pip-version-check --constraint constraints.txt --editable .
	-$(PY) -m compileall -q .venv/lib src   # else every command compiles its libraries anew where pip was told not to
	touch $@

.venv/installed-test: .venv/installed
	$(PY) -m pip install --quiet --disable-pip-version-check --constraint constraints.txt --editable '.[test,lint]'
	touch $@

demo: .venv/installed
	.venv/bin/proofpan demo

serve: .venv/installed
	.venv/bin/proofpan serve

# the browser and the database server that the tests drive; asked for only where missing
debian:
	@missing=""; for p in $(APT); do dpkg -s $$p >/dev/null 2>&1 || missing="$$missing $$p"; done; \
	if [ -n "$$missing" ]; then \
	  if [ "$$(id -u)" = 0 ]; then apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $$missing >/dev/null; \
	  else echo "The browser and database tests need Debian packages:$$missing"; exit 1; fi; fi

test: .venv/installed-test debian
	OPENBLAS_NUM_THREADS=1 $(PY) -m pytest -n 2 --dist loadfile --no-loadscope-reorder   # else the files of few, long journeys come last, on one core

lint: .venv/installed-test
	$(PY) -m ruff check src tests bench examples
	$(PY) -m mypy

messages: .venv/installed-test
	$(PY) -m tests.publish.catalogue

reference:
	@test -x $(PY) || $(MAKE) --no-print-directory .venv/installed-test
	@$(PY) -m tests.reference.run $(if $(CASES),--cases $(CASES),)

acceptance: .venv/installed-test
	@if [ -x $(ACCEPTANCE)/run.sh ]; then $(ACCEPTANCE)/run.sh $(PY); else echo "acceptance: the kit isn't beside this checkout"; fi

clean:
	rm -rf .venv dist build demo-output
