# make demo: environment, then the main job. make test: environment for tests, then every test.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
# One BLAS thread: small matrices on a busy machine are slower with more (measured, docs/architecture.md).
export OPENBLAS_NUM_THREADS := 1

.PHONY: demo test lint types bench sweep sheets index pages mutants clean locks

$(VENV)/run.done: requirements/run.txt pyproject.toml
	$(PYTHON) -c 'import sys; sys.exit("Python 3.11 or newer is needed; found " + sys.version.split()[0]) if sys.version_info < (3, 11) else None'
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/run.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/build.txt
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --no-build-isolation --no-deps --editable .
	touch $@

$(VENV)/test.done: requirements/test.txt $(VENV)/run.done
	$(BIN)/python -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements/test.txt
	touch $@

demo: $(VENV)/run.done
	$(BIN)/python -m lynchet.commands.demo

test: $(VENV)/test.done
	$(BIN)/python -m pytest -n 2 --dist worksteal

lint: $(VENV)/test.done
	$(BIN)/ruff check src tests
	$(BIN)/ruff format --check src tests

types: $(VENV)/test.done
	$(BIN)/mypy

index: $(VENV)/run.done
	$(BIN)/python -m lynchet.calculators.make_index

pages: $(VENV)/run.done
	$(BIN)/python -m lynchet.calculators.make_pages

# Plants one-line errors in the formulas and tells how many the tests catch; tests/mutant_survivors.toml says why some may live.
mutants: $(VENV)/test.done
	$(BIN)/python -u -m tests.mutants $(MUTANTS)

bench: $(VENV)/test.done
	$(BIN)/python -m tests.bench

sweep: $(VENV)/test.done
	$(BIN)/python -m tests.sweep

# Every kind of sheet of a hundred random yards, held to the rules of labels; make test draws ten of them.
sheets: $(VENV)/test.done
	LYNCHET_ALL_YARDS=1 $(BIN)/python -m pytest -n 2 tests/laws/test_drawings_hundred_yards.py

# For maintainers: make the hashed lock files again (uv must be on the path).
locks:
	for part in run build test; do uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-header --no-annotate requirements/$$part.in -o requirements/$$part.txt || exit 1; done

clean:
	rm -rf build .mypy_cache .ruff_cache .pytest_cache
