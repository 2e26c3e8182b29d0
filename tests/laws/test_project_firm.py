"""A firm's own file: what it may say, what goes before it, and what is wrong with it told on its own line."""

from __future__ import annotations

import struct
from dataclasses import replace
from pathlib import Path

import pytest

from lynchet.core.errors import Fault, InputError
from lynchet.project.firm import Offer
from lynchet.project.read import read_project, read_project_text
from lynchet.project.starter_firm import firm_text
from office_plan import png

JOB = """\
lynchet = 1
units = "metric"
firm = "ours/firm.toml"
[ground]
slope = { fall = "1.25 m in 7.4 m" }
[area]
outline = [[0, 0], [6.2, 0], [6.2, 7.4], [0, 7.4]]
[[steps]]
line = [[1, -1], [1, 8]]
"""
FIRM = """\
lynchet = 1
units = "metric"
[firm]
name = "Invented Terraces"
address = ["1 Example Road", "Sampletown"]
phone = "000"
logo = "logo.svg"
[prices]
currency = "EUR"
file = "prices.csv"
overhead = "18 %"
[terms]
valid_days = 14
stages = [{ name = "at signing", share = "30 %" }, { name = "hand-over", share = 0.7 }]
minimum = 900
[[allowance]]
name = "rock"
unit = "m3"
cost = 160
[[cost]]
name = "digger"
price = 420
"""
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 10"><path d="M0 0h40"/></svg>'
PNG = png(60, 20)


def laid_out(folder: Path, firm: str = FIRM, job: str = JOB, logo: bytes = SVG) -> Path:
    """A job, with the firm's file, price list and logo in a folder of their own."""
    (folder / "ours").mkdir()
    (folder / "ours" / "firm.toml").write_text(firm, encoding="utf-8")
    (folder / "ours" / "prices.csv").write_text("item,price\nlabour,40\n", encoding="utf-8")
    (folder / "ours" / "logo.svg").write_bytes(logo)
    (folder / "job.toml").write_text(job, encoding="utf-8")
    return folder / "job.toml"


def only(path: Path) -> Fault:
    """The single fault of a file."""
    with pytest.raises(InputError) as caught:
        read_project(path)
    assert len(caught.value.faults) == 1, caught.value
    return caught.value.faults[0]


def test_the_firm_serves_the_job_and_files_lie_beside_the_firm(tmp_path: Path) -> None:
    """Name, terms, price list and logo come from the firm's folder; the job's own words go before, key by key."""
    job = JOB + '[prices]\noverhead = "20 %"\n[terms]\nvalid_days = 30\n'
    project = read_project(laid_out(tmp_path, job=job))
    assert (project.firm.name, project.firm.phone) == ("Invented Terraces", "000")
    assert project.firm.address == ("1 Example Road", "Sampletown")
    assert project.firm.logo is not None
    assert (project.firm.logo.kind, project.firm.logo.width, project.firm.logo.height) == ("svg", 40.0, 10.0)
    assert (project.firm.logo.path, project.firm.logo.data) == ("ours/logo.svg", SVG)
    assert project.prices.overhead == pytest.approx(0.20)
    assert [(one.item, one.money) for one in project.prices.items] == [("labour", 40.0)]
    terms = project.offer.terms
    assert (terms.valid_days, terms.minimum_money) == (30, 900.0)
    assert [(stage.name, stage.share) for stage in terms.stages] == [("at signing", 0.30), ("hand-over", 0.70)]
    assert project.offer.allowances[0].cost_money == 160.0
    assert project.offer.costs[0].money == 420.0


def test_a_table_of_the_job_may_name_the_firms_file_and_overrule_it(tmp_path: Path) -> None:
    """[firm] with `file` is the same as firm = "..."; what stands beside `file` goes before."""
    table = '[firm]\nfile = "ours/firm.toml"\nphone = "111"\n'
    project = read_project(laid_out(tmp_path, job=JOB.replace('firm = "ours/firm.toml"\n', "") + table))
    assert (project.firm.name, project.firm.phone) == ("Invented Terraces", "111")


def test_no_firm_means_no_words_put_in_its_mouth() -> None:
    """Without a firm nothing is filled in: no name, no terms, no stage, no price."""
    project = read_project_text(JOB.replace('firm = "ours/firm.toml"\n', ""))
    assert replace(project.offer) == Offer()


@pytest.mark.parametrize(
    ("old", "new", "line", "key", "found"),
    [
        ('share = "30 %"', 'share = "40 %"', 14, "terms.stages", "110 %"),
        ("minimum = 900", "minimum = -1", 15, "terms.minimum", "-1"),
        ("valid_days = 14", "valid_days = 0", 13, "terms.valid_days", "0"),
        ("cost = 160", "cost = 160\nprice = 200", 20, "allowance.1.price", "both"),
        ('phone = "000"', "phone = 7", 6, "firm.phone", "number"),
        ('phone = "000"', 'fone = "000"', 6, "firm.fone", "no such key"),
        ('address = ["1 Example Road", "Sampletown"]', 'address = "1 Example Road"', 5, "firm.address", "text"),
        ('logo = "logo.svg"', 'logo = "no.svg"', 7, "firm.logo", "no such file"),
        ('file = "prices.csv"', 'file = "no.csv"', 10, "prices.file", "no such file"),
        ("price = 420", 'price = "dear"', 22, "cost.1.price", "text"),
        ('units = "metric"', 'units = "us"', 2, "units", '"us"'),
        ("[[cost]]", "[area]\nlength = 3\n[[cost]]", 20, "area", "one yard"),
        ("[[cost]]", '[quote]\nclient = "x"\n[[cost]]', 20, "quote", "one yard"),
        ('[firm]\nname = "Invented Terraces"', '[firm]\nfile = "x.toml"', 4, "firm.file", "under a firm's file"),
        ("[[cost]]", "[[cost]]\nname = 'digger'\n[[cost]]", 23, "cost.2.name", "stands twice"),
        ("[terms]", "[terms", 12, "", "cannot be read"),
    ],
)  # fmt: skip
def test_faults_of_the_firm_stand_on_its_own_lines(
    tmp_path: Path, old: str, new: str, line: int, key: str, found: str
) -> None:
    """Every fault names the firm's file, its line, the key, what was found and what is accepted."""
    fault = only(laid_out(tmp_path, firm=FIRM.replace(old, new)))
    assert (fault.file, fault.line, fault.key) == ("ours/firm.toml", line, key)
    assert found in fault.found
    assert fault.accepted


@pytest.mark.parametrize(
    ("logo", "found"),
    [
        (b"not a picture", "no picture of a kind that is known"),
        (SVG.replace(b"<path", b"<script/><path"), "script"),
        (SVG.replace(b"<path", b'<image href="http://example.org/x.png"/><path'), "fetches"),
        (b"<svg></svg>", "broken SVG"),
        (PNG[:18], "broken PNG"),
        (b"\xff\xd8\xff\xe0\x00", "broken JPEG"),
        (SVG.replace(b"0 0 40 10", b"0 0 900 10"), "far too long"),
        (PNG + b"\0" * 2_000_001, "2.0 MB"),
    ],
)
def test_a_logo_nobody_could_print_is_refused(tmp_path: Path, logo: bytes, found: str) -> None:
    """A broken, huge, too long or fetching picture is told at the key that names it."""
    fault = only(laid_out(tmp_path, logo=logo))
    assert (fault.file, fault.line, fault.key) == ("ours/firm.toml", 7, "firm.logo")
    assert found in fault.found


def test_pictures_of_three_kinds_give_their_shape(tmp_path: Path) -> None:
    """PNG, JPEG and SVG are told by their bytes, whatever they are called."""
    jpeg = b"\xff\xd8\xff\xe0\x00\x04ab" + b"\xff\xc0\x00\x0b\x08" + struct.pack(">HH", 30, 90) + b"\0" * 8
    for number, (data, kind, ratio) in enumerate([(PNG, "png", 3.0), (jpeg, "jpeg", 3.0), (SVG, "svg", 4.0)]):
        folder = tmp_path / str(number)
        folder.mkdir()
        logo = read_project(laid_out(folder, logo=data)).firm.logo
        assert logo is not None
        assert (logo.kind, logo.width / logo.height) == (kind, ratio)


@pytest.mark.parametrize(
    ("option", "found"),
    [
        ('leave_out = "walls"', '"walls"'),
        ('leave_out = "steps.3"', "the file has 1 steps"),
        ('leave_out = "on_wall"', "the file has no on_wall"),
        ('leave_out = "steps"\nprice = 3', "beside a price"),
    ],
)
def test_an_option_leaves_out_only_what_is_there(option: str, found: str) -> None:
    """An option that leaves out a thing the file does not have is told."""
    with pytest.raises(InputError) as caught:
        read_project_text(JOB.replace('firm = "ours/firm.toml"\n', "") + f'[[option]]\nname = "o"\n{option}\n')
    assert found in str(caught.value)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_the_starter_of_a_firm_lies_under_a_job(tmp_path: Path, system: str) -> None:
    """A fresh firm's file serves a job as it is, and with every remark taken away its keys are known and right."""
    text = firm_text('Invented "Terraces"\\', "firm.toml", system)  # type: ignore[arg-type]
    job = JOB.replace('"metric"', f'"{system}"')
    project = read_project(laid_out(tmp_path, firm=text, job=job))
    assert project.firm.name == 'Invented "Terraces"\\'
    assert project.prices.items == ()
    lines = [line[2:] if line.startswith("# ") and ("=" in line or line[2] in "[ ]") else line
             for line in text.splitlines() if not line.startswith("# ") or "lie" not in line]  # fmt: skip
    bare = "\n".join(line for line in lines if "`cost` is yours" not in line)
    (tmp_path / "ours" / "firm.toml").write_text(bare, encoding="utf-8")
    full = read_project(tmp_path / "job.toml")
    assert full.offer.terms.valid_days == 14
    assert len(full.offer.terms.stages) == 4
    assert len(full.offer.allowances) == 3
    assert full.offer.options[0].cost_money == 18.0
    assert full.works.crew == 3


def test_units_of_a_firm_in_capitals_are_the_jobs_own(tmp_path: Path) -> None:
    """A word that is taken in any case is the same word: "METRIC" under a job in metric is no other system."""
    assert read_project(laid_out(tmp_path, firm=FIRM.replace('"metric"', '"METRIC"'))).units == "metric"
