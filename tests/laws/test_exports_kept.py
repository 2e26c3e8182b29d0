"""Files of a person in a folder that is written into: none is lost, all new ones are there or none."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from by_command import command
from lynchet.core.errors import NoRoomError
from lynchet.exports import exchange
from lynchet.exports.into import Into
from lynchet.exports.known_names import known_sheet, of_a_plan
from lynchet.exports.write_files import write_files
from lynchet.exports.written_list import LIST
from lynchet.project.edit import edit_file
from lynchet.project.inputs import inputs_of
from lynchet.project.load import load

FIRST = {"order-list.csv": "item,price\n", "site.svg": "<svg>1</svg>", "plan.json": "1"}
SECOND = {"order-list.csv": "item,price,x\n", "site.svg": "<svg>2</svg>", "plan.json": "2"}
STOPPED = {"plan.json": "3"}


def _run(out: Path, files: dict[str, str], *inputs: Path) -> str:
    told: list[str] = []
    write_files(files, Into(out, frozenset(inputs), told.append), of_a_plan)
    return "\n".join(told)


def _seen(out: Path) -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in out.iterdir() if path.name != LIST}


@pytest.mark.parametrize("files", [SECOND, STOPPED])
def test_a_price_list_that_is_read_stays_where_it_is(tmp_path: Path, files: dict[str, str]) -> None:
    """The filled-in order list, named as `prices.file`, is neither replaced nor taken away, however often it is run."""
    out = tmp_path / "plan"
    _run(out, FIRST)
    (out / "order-list.csv").write_text("item,price\nstone,42\n", encoding="utf-8")
    job = tmp_path / "yard.toml"
    job.write_text('[prices]\nfile = "plan/order-list.csv"\n', encoding="utf-8")
    for _ in range(3):
        told = _run(out, files, *inputs_of(load(job)))
        seen = _seen(out)
        assert seen.pop("order-list.csv") == "item,price\nstone,42\n" and told.count("order-list.csv") == 1
        wanted = {("order-list (new).csv" if name == "order-list.csv" else name): text for name, text in files.items()}
        assert seen == wanted


def test_every_file_a_project_names_is_an_input(tmp_path: Path) -> None:
    """The job's file, points, prices and rain; the firm's file, and its logo and prices, seen from the job's folder."""
    (tmp_path / "firm").mkdir()
    (tmp_path / "firm" / "own.toml").write_text(
        '[firm]\nname = "Invented"\nlogo = "mark.svg"\n[prices]\nfile = "list.csv"\n', encoding="utf-8"
    )
    job = tmp_path / "yard.toml"
    job.write_text('firm = "firm/own.toml"\n[ground]\npoints = "p.csv"\n[rain]\ntable = "r.txt"\n', encoding="utf-8")
    found = {path.resolve().relative_to(tmp_path.resolve()).as_posix() for path in inputs_of(load(job))}
    assert found == {"yard.toml", "firm/own.toml", "firm/mark.svg", "firm/list.csv", "p.csv", "r.txt"}


@pytest.mark.parametrize("files", [SECOND, STOPPED])
def test_what_a_person_changed_is_kept_beside(tmp_path: Path, files: dict[str, str]) -> None:
    """A changed file gets a plain new name, counted on, whether a new one is written or not; it is told."""
    _run(tmp_path, FIRST)
    for number in (1, 2):
        (tmp_path / "order-list.csv").write_text(f"mine {number}", encoding="utf-8")
        told = _run(tmp_path, files)
        assert "order-list.csv" in told and "yours" in told
        _run(tmp_path, FIRST)
    seen = _seen(tmp_path)
    assert seen["order-list (yours).csv"] == "mine 1" and seen["order-list (yours 2).csv"] == "mine 2"
    assert _run(tmp_path, SECOND) == "" and _seen(tmp_path).keys() == seen.keys()


def test_own_drawings_stay_and_old_sheets_go(tmp_path: Path) -> None:
    """Of drawings only those that were written here are taken away, be they known by the list or by their names."""
    _run(tmp_path, FIRST)
    (tmp_path / "sketch.svg").write_text("mine", encoding="utf-8")
    (tmp_path / "terraces.svg").write_text("mine too: no run wrote it", encoding="utf-8")
    _run(tmp_path, STOPPED)
    assert _seen(tmp_path).keys() == {"plan.json", "sketch.svg", "terraces.svg"}
    (tmp_path / LIST).unlink()  # as an older version left it
    _run(tmp_path, STOPPED)
    assert _seen(tmp_path).keys() == {"plan.json", "sketch.svg"}


@pytest.mark.parametrize("name", [
    "wall-W2.svg", "wall-A0-2.svg", "day-12-page-2.svg", "section-behind.svg", "cut-sheet-3.svg", "eye-level.svg",
])  # fmt: skip
def test_sheets_of_older_folders_are_known(name: str) -> None:
    """Names told in the description of the plan folder, and none that only looks alike."""
    assert known_sheet(name) and not known_sheet("my-" + name) and not known_sheet(name.replace(".svg", " old.svg"))


def _fail_at(number: int, error: BaseException, monkeypatch: pytest.MonkeyPatch) -> None:
    """The move of that number goes wrong."""
    move: Callable[[Path, Path], Path] = Path.replace
    count = iter(range(1, 1000))

    def moved(self: Path, target: Path) -> Path:
        if next(count) == number:
            raise error
        return move(self, target)

    monkeypatch.setattr(Path, "replace", moved)


@pytest.mark.parametrize("number", range(1, 9))
@pytest.mark.parametrize("error", [PermissionError(1, "Operation not permitted"), KeyboardInterrupt()])
def test_a_move_that_fails_puts_everything_back(
    tmp_path: Path, number: int, error: BaseException, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that cannot be replaced, or somebody who breaks off, in whatever move: the folder is as it was."""
    _run(tmp_path, FIRST)
    (tmp_path / "plan.json").write_text("mine", encoding="utf-8")
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    _fail_at(number, error, monkeypatch)
    with pytest.raises((NoRoomError, KeyboardInterrupt)):
        _run(tmp_path, SECOND)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_file_that_cannot_be_replaced_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The person sees which file is open elsewhere or protected."""
    _run(tmp_path, FIRST)
    _fail_at(2, PermissionError(1, "Operation not permitted", str(tmp_path / "site.svg")), monkeypatch)
    with pytest.raises(NoRoomError, match=r"cannot be written: site.svg: Operation not permitted; what stood there"):
        _run(tmp_path, SECOND)


def test_two_runs_do_not_mix(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While one writes another waits, then says so plainly with the way out, and changes nothing."""
    monkeypatch.setattr(exchange, "WAIT_S", 0.2)
    with exchange.alone(tmp_path), pytest.raises(NoRoomError, match="another run is writing") as told:
        _run(tmp_path, FIRST)
    assert str(tmp_path / exchange.WORK) in str(told.value)
    assert list(tmp_path.iterdir()) == []
    _run(tmp_path, FIRST)
    assert _seen(tmp_path) == FIRST


def test_a_run_that_was_killed_is_mended_by_the_next(tmp_path: Path) -> None:
    """Old files set aside by it come back where they miss; the folder is free again."""
    _run(tmp_path, FIRST)
    work = tmp_path / exchange.WORK
    (work / "old").mkdir(parents=True)
    (tmp_path / "site.svg").rename(work / "old" / "site.svg")
    (work / "new").mkdir()
    for place in (work / "old", work / "new", work):
        os.utime(place, (1.0, 1.0))
    write_files({"quote.xlsx": "1"}, Into(tmp_path))
    assert _seen(tmp_path) == {**FIRST, "quote.xlsx": "1"}


def test_the_list_is_one_that_common_tools_read(tmp_path: Path) -> None:
    """SHA-256 of each file before its name; that of the empty text is known from the standard's test values."""
    _run(tmp_path, {"plan.json": ""})
    empty = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    assert (tmp_path / LIST).read_text(encoding="utf-8") == f"{empty}  plan.json\n"


ROUGH = ("look", "--side-to-side", "20 ft", "--up-the-slope", "24 ft", "--drop", "3 ft")


@pytest.mark.parametrize(("option", "name"), [("--save", "yard.toml"), ("--sheet", "look.svg")])
def test_a_look_overwrites_nothing(tmp_path: Path, option: str, name: str) -> None:
    """A file that is there already is refused before anything is planned, as `new` does, and stays."""
    file = tmp_path / name
    file.write_text("mine", encoding="utf-8")
    ran = command(*ROUGH, option, str(file))
    assert ran.status == 2 and ran.out == "" and file.read_text(encoding="utf-8") == "mine"
    assert "exists already; nothing was changed" in ran.err and "a new name" in ran.err


def test_a_link_to_the_project_file_stays_a_link(tmp_path: Path) -> None:
    """What the link leads to is written, with its own ends of lines."""
    real, link = tmp_path / "real.toml", tmp_path / "link.toml"
    real.write_bytes(b"[brief]\r\nterraces = 2\r\n")
    link.symlink_to(real)
    edit_file(link, [("brief.terraces", 3)])
    assert link.is_symlink() and real.read_bytes() == b"[brief]\r\nterraces = 3\r\n"
