# make demo   a virtual environment from pinned versions, the project in it, and the demonstration in demo/
# make test   everything that is checked before a change lands
# make coverage  every test again, with a count of the lines that none of them reaches
# make opinions  the living workbook worked out by two more programs, one of them Gnumeric, which must be there
# make bench  start-up and demonstration against bare imports, side by side
# make pins   renew the pinned versions in .pinned/ (the newest that pyproject.toml allows); try the tests afterwards
# make clean  take away what the others made
#
# Another Python than python3: make demo PYTHON=/usr/bin/python3.12

PYTHON ?= python3
PIP := -m pip --disable-pip-version-check --no-input
RUN := .venv
TEST := .venv-test
SOURCES := $(shell find costing nutrition data examples -type f -not -name '*.pyc') pyproject.toml README.md LICENSE

.PHONY: demo test coverage opinions bench pins clean python
.DELETE_ON_ERROR:

demo: $(RUN)/project.stamp
	@$(RUN)/bin/creamery demo demo --replace

# From the checkout: nothing is installed here but the libraries. tests/test_wheel.py tries the installed thing.
test: $(TEST)/pins.stamp
	@$(TEST)/bin/ruff format --check .
	@$(TEST)/bin/ruff check .
	@$(TEST)/bin/mypy
	@$(TEST)/bin/python -m pytest -q -n 2

# Apart from the ordinary run, for counting lines makes it half as long again.
coverage: $(TEST)/pins.stamp
	@$(TEST)/bin/python -m pytest -q -n 2 --cov --cov-report=
	@$(TEST)/bin/coverage report --skip-covered --include='costing/*' --fail-under=90
	@$(TEST)/bin/coverage report --skip-covered --include='nutrition/*' --fail-under=90

opinions: $(TEST)/pins.stamp
	@$(TEST)/bin/python -m pytest -q -s -o addopts= -p no:cacheprovider tests/opinions

# The benchmarks measure the installed command, so they need the other environment too.
bench: $(TEST)/pins.stamp $(RUN)/project.stamp
	@CREAMERY_INSTALLED=$(CURDIR)/$(RUN)/bin/creamery $(TEST)/bin/python -m pytest -q -s -o addopts= -p no:cacheprovider tests/benchmarks

$(RUN)/pins.stamp: .pinned/run.txt .pinned/build.txt | python
	@echo "making $(RUN) and installing the pinned versions"
	@$(PYTHON) -m venv --clear $(RUN)
	@$(RUN)/bin/python $(PIP) install -qq -r .pinned/run.txt -r .pinned/build.txt
	@touch $@

$(RUN)/project.stamp: $(RUN)/pins.stamp $(SOURCES)
	@echo "installing creamery"
	@$(RUN)/bin/python $(PIP) install -qq --no-deps --no-build-isolation --force-reinstall .
	@touch $@

$(TEST)/pins.stamp: .pinned/test.txt | python
	@echo "making $(TEST) and installing the pinned versions"
	@$(PYTHON) -m venv --clear $(TEST)
	@$(TEST)/bin/python $(PIP) install -qq -r .pinned/test.txt
	@touch $@

python:
	@command -v $(PYTHON) >/dev/null || { echo "there is no $(PYTHON); install Python 3.11 or newer"; exit 1; }
	@$(PYTHON) -c 'import sys; ok = sys.version_info >= (3, 11); ok or print("creamery needs Python 3.11 or newer, and $(PYTHON) is %d.%d; try: make demo PYTHON=/path/to/python3.12" % sys.version_info[:2]); sys.exit(not ok)'

# From the oldest Python that we support, so that the versions fit every newer one.
pins: | python
	@$(PYTHON) .pinned/renew.py

clean:
	rm -rf $(RUN) $(TEST) demo dist build .coverage .coverage.* htmlcov .mypy_cache .ruff_cache .pytest_cache .hypothesis .benchmarks
	find costing nutrition tests -name __pycache__ -type d -prune -exec rm -rf {} +
