"""The plan folder: all files or none, nothing to build from that is kept back, old files taken away."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path

import pytest

from lynchet.core.errors import NoRoomError
from lynchet.core.findings import Finding, Verdict
from lynchet.drawings.drawn import Drawn, drawn
from lynchet.drawings.permit_sheets import permit_sheet_names
from lynchet.drawings.sheets import _numbered
from lynchet.drawings.stamp import Stamp
from lynchet.drawings.terraces_plan import terraces_plan
from lynchet.exports import folder
from lynchet.exports.folder import write_folder
from lynchet.exports.known_names import known_sheet
from lynchet.exports.left_out import TO_BUILD_FROM, left_out, left_out_lines
from lynchet.exports.written_list import LIST
from lynchet.plan.effort import LIVE
from lynchet.plan.model import Plan
from lynchet.plan.pipeline import plan_project
from lynchet.project.model import Site
from random_yards import realistic


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A random yard with a place on earth, nothing kept back."""
    found = plan_project(replace(realistic(7)[0], site=Site(50.0, 8.0, 10.0)), effort=LIVE)
    free = (*_calm(found.clashes), Finding("test.asked", Verdict.ASK, "Invented question.", "W1", ask="engineer"))
    stability = replace(found.stability, findings=_calm(found.stability.findings))
    timber = replace(found.timber, findings=_calm(found.timber.findings))
    ground = replace(found.ground, findings=())
    found = replace(found, clashes=free, stability=stability, timber=timber, ground=ground)
    assert found.withheld == {}
    return found


def _calm(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """None a stop and none that keeps anything back."""
    return tuple(replace(one, withholds=(), verdict=min(one.verdict, Verdict.ASK)) for one in findings)


@pytest.fixture(autouse=True)
def light(plan: Plan, full: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """One sheet and no book after the first, whole folder: the rest is what is tested here."""
    monkeypatch.setattr(folder, "drawn_sheets", lambda *_: _terraces(plan))
    monkeypatch.setattr(folder, "build_book", lambda *_: None)
    monkeypatch.setattr(folder, "to_pdf", lambda _: b"a book in place of the real one")
    monkeypatch.setattr(folder, "to_phone", lambda _: "a book in place of the real one")


def _terraces(plan: Plan) -> tuple[Drawn, ...]:
    return (drawn(terraces_plan(plan, Stamp())),)


def _held(plan: Plan, *sheets: str) -> Plan:
    """The plan with a finding that keeps sheets back."""
    stop = Finding("test.held", Verdict.ASK, "Invented.", "W9", withholds=sheets)
    return replace(plan, clashes=(*plan.clashes, stop))


def _written(plan: Plan, out: Path) -> set[str]:
    paths = write_folder(plan, plan.findings, ["line"], out)
    assert all(path.stat().st_size > 20 for path in paths)
    assert {path.name for path in paths} | {LIST} == {path.name for path in out.iterdir()}
    return {path.name for path in paths}


@pytest.fixture(scope="module")
def full(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The whole folder."""
    out = tmp_path_factory.mktemp("full")
    _written(plan, out)
    return out


def test_everything_is_written_where_nothing_is_kept_back(plan: Plan, full: Path) -> None:
    """Every file one could build from, but plants where none is chosen; text files are UTF-8 without a mark."""
    names = {path.name for path in full.iterdir()}
    expected = set(TO_BUILD_FROM) - ({"plants.csv"} if not plan.planted.plantings else set())
    assert expected <= names and {"plan.json", "findings.txt", "build-book.pdf", "build-book.html"} <= names
    for path in full.iterdir():
        if path.suffix in (".csv", ".xml", ".geojson", ".json"):
            data = path.read_bytes()
            assert not data.startswith(b"\xef\xbb\xbf") and data.decode("utf-8")


def test_every_sheet_is_known_by_its_name(plan: Plan) -> None:
    """Each drawing that a plan may write is one that is taken away again when it is kept back."""
    names = [name for name, _ in _numbered(plan, Stamp(), (True, True, True), "en").numbers]
    assert len(names) > 10 and [name for name in names if not known_sheet(f"{name}.svg")] == []
    assert all(known_sheet(f"{name}.svg") for name in permit_sheet_names(plan))


@pytest.mark.parametrize(("sheet", "gone"), [
    ("all", set(TO_BUILD_FROM) - {"engineer.pdf", "engineer.dxf"}),
    ("cut-sheet", {"pieces.csv"}),
    ("order-list", {"order-list.csv", "order-list.xlsx", "plants.csv"}),
])  # fmt: skip
def test_what_is_kept_back_is_not_written_and_old_files_go(
    plan: Plan, tmp_path: Path, sheet: str, gone: set[str]
) -> None:
    """Files of an earlier plan that may not be built from any more are taken away; the text says which and why."""
    for name in TO_BUILD_FROM:
        (tmp_path / name).write_text("an earlier plan, longer than twenty letters")
    (tmp_path / "notes.txt").write_text("my own notes, which nobody may touch")
    held = _held(plan, sheet)
    write_folder(held, held.findings, ["line"], tmp_path)
    names = {path.name for path in tmp_path.iterdir()}
    assert not names & gone and "notes.txt" in names
    assert set(TO_BUILD_FROM) - gone - {"plants.csv", "permit.pdf"} <= names  # no permit sheet is drawn here
    told = " ".join((tmp_path / "findings.txt").read_text(encoding="utf-8").split())
    assert all(name in told for name in gone) and "kept back until what is found at W9 is answered" in told
    assert left_out(held).keys() >= gone


def test_text_tells_what_is_left_out_in_short_lines(plan: Plan) -> None:
    """Lines of at most 80 letters; files with one reason stand together; nothing is said where nothing is left out."""
    lines = left_out_lines(_held(plan, "all"))
    assert lines and all(len(line) <= 80 for line in lines)
    assert sum(line.startswith("not written:") for line in lines) == 1
    planted = [line for line in left_out_lines(plan) if not line.startswith("not written: plants.csv")]
    assert planted == []


def test_nothing_is_half_written_when_one_file_fails(
    plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The last writer fails: no file is there, and those of an earlier plan are as they were."""

    def broken(*_: object) -> bytes:
        raise ValueError("out of paint")

    (tmp_path / "plan.glb").write_bytes(b"earlier")
    monkeypatch.setattr(folder, "plan_glb", broken)
    with pytest.raises(ValueError, match="out of paint"):
        write_folder(plan, plan.findings, ["line"], tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["plan.glb"]
    assert (tmp_path / "plan.glb").read_bytes() == b"earlier"


@pytest.mark.parametrize("name", ["plan.glb", "plan.geojson", "setting-out.csv", "build-book.pdf"])
def test_a_folder_of_a_files_name_is_refused_before_anything_is_replaced(plan: Plan, tmp_path: Path, name: str) -> None:
    """It is named, and every other file stands as it was."""
    (tmp_path / name).mkdir()
    (tmp_path / "plan.json").write_text("earlier")
    with pytest.raises(NoRoomError, match=name):
        write_folder(plan, plan.findings, ["line"], tmp_path)
    assert {path.name for path in tmp_path.iterdir()} == {name, "plan.json"}
    assert (tmp_path / "plan.json").read_text() == "earlier"


def test_a_file_where_the_folder_should_be_is_refused(plan: Plan, tmp_path: Path) -> None:
    """The folder's name is taken by a file: said plainly, the file stays."""
    (tmp_path / "plan").write_text("a file")
    with pytest.raises(NoRoomError, match="cannot be written"):
        write_folder(plan, plan.findings, ["line"], tmp_path / "plan")
    assert (tmp_path / "plan").read_text() == "a file"


def test_a_full_disk_leaves_the_earlier_plan(plan: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Writing fails on the way: what stood there stands, and no half file or working folder is left."""
    (tmp_path / "plan.json").write_text("earlier")
    write, count = Path.write_bytes, iter(range(100))

    def full_at_five(self: Path, data: bytes) -> int:
        if next(count) == 5:
            raise OSError(28, "No space left on device")
        return write(self, data)

    monkeypatch.setattr(Path, "write_bytes", full_at_five)
    with pytest.raises(NoRoomError, match="No space left"):
        write_folder(plan, plan.findings, ["line"], tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["plan.json"]
    assert (tmp_path / "plan.json").read_text() == "earlier"


def test_the_same_plan_gives_the_same_lists(plan: Plan, full: Path, tmp_path: Path) -> None:
    """Byte for byte: tables, map, drawing, spreadsheet, three dimensions, points."""
    time.sleep(max(0.0, 1.1 - time.time() + (full / "plan.dxf").stat().st_mtime))  # a second later by the clock
    _written(plan, tmp_path)
    lists = {"setting-out.csv", "setting-out.xml", "pieces.csv", "order-list.csv", "order-list.xlsx"}
    for name in {"plan.glb", "plan.geojson", "plan.dxf"} | lists:
        assert (tmp_path / name).read_bytes() == (full / name).read_bytes(), name


def test_lists_and_models_are_quick(plan: Plan) -> None:
    """All files but sheets and book take well under a second of the processor."""
    mine = list(folder._lists(plan).values())
    for make in mine:
        make()
    start = time.process_time()
    for make in mine:
        make()
    assert time.process_time() - start < 1.0
