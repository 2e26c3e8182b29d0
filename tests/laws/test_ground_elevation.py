"""Laws of reading elevation text."""

import numpy as np
import pytest
from scipy.interpolate import LinearNDInterpolator, RegularGridInterpolator

from lynchet.calculators.checked import call
from lynchet.core.errors import InputError
from lynchet.ground.elevation_text import parse_elevation, read_elevation

FOOT = {"m": 1.0, "ft": 0.3048, "us_ft": 1200 / 3937}


def read(form, text, **more):
    """A checked call."""
    return call(read_elevation, {"format": form, "text": text, **more})


def refused(form, text, word, **more):
    """The text is refused with an error that holds the word."""
    with pytest.raises(InputError) as error:
        read(form, text, **more)
    assert word in str(error.value).lower(), str(error.value)


@pytest.mark.parametrize("separator", [";", "\t", ",", "  "])
@pytest.mark.parametrize("unit", ["m", "ft", "us_ft"])
@pytest.mark.parametrize("columns", ["xyz", "pnez"])
def test_written_points_come_back(separator, unit, columns):
    """Points written with any separator, unit and column order come back in metres and in order."""
    rng = np.random.default_rng(1)
    points = rng.uniform(-50, 200, (20, 3)).round(3)
    rows = [[x, y, z] if columns == "xyz" else [f"p{i}", y, x, z, "peg"] for i, (x, y, z) in enumerate(points)]
    text = "\r\n".join(["# own fixture", "", *(separator.join(str(v) for v in row) for row in rows), ""])
    got = read("xyz_csv", text, unit=unit, columns=columns)
    assert np.array(got.points_xyz) == pytest.approx(points * FOOT[unit])
    assert (got.points, got.holes, got.triangles, got.sample_m) == (20, 0, None, None)
    assert (got.min_m, got.y_max_m) == pytest.approx((points[:, 2].min() * FOOT[unit], points[:, 1].max() * FOOT[unit]))
    assert parse_elevation("xyz_csv", text, unit, columns).points.tolist() == got.points_xyz


def test_sample_of_spot_levels_by_another_interpolator():
    """Levels between spot levels agree with a general library's linear interpolation."""
    rng = np.random.default_rng(2)
    points = rng.uniform(0, 30, (25, 3)).round(4) + np.array([500_000, 4_000_000, 0])
    text = "\n".join(f"{x:.4f} {y:.4f} {z:.4f}" for x, y, z in points)
    local = points - np.array([500_000, 4_000_000, 0])
    other = LinearNDInterpolator(local[:, :2], local[:, 2])
    for x, y in rng.uniform(8, 22, (15, 2)):
        got = read("xyz_csv", text, unit="m", sample_x_m=float(x) + 500_000, sample_y_m=float(y) + 4_000_000)
        assert got.sample_m == pytest.approx(float(other(x, y)), abs=1e-5)


def test_decimal_commas():
    """A decimal comma is a point unless commas separate; semicolons, tabs and blanks allow it."""
    for text in ("1,5;2,5;3,25", "1,5\t2,5\t3,25"):
        assert read("xyz_csv", text, unit="m").points_xyz == [[1.5, 2.5, 3.25]]
    refused("xyz_csv", "1,5 2,5 3,25", "line", unit="m")  # the comma is the separator here
    refused("xyz_csv", "0;0;1\n1,2,3\n", "line 2", unit="m")


def test_headings():
    """Headings decide the order by name, whatever stands after a blank or bracket; one without names is passed over."""
    assert read("xyz_csv", "No,RL (m),East[m],north ft\n1,9,5,6", unit="m").points_xyz == [[5.0, 6.0, 9.0]]
    assert read("xyz_csv", "HEIGHT;N;E\n9;6;5", unit="m").points_xyz == [[5.0, 6.0, 9.0]]
    assert read("xyz_csv", "a,b,c\n5,6,9", unit="m").points_xyz == [[5.0, 6.0, 9.0]]
    assert read("xyz_csv", "z,y,x\n9,6,5", unit="m", columns="pnez").points_xyz == [[5.0, 6.0, 9.0]]
    refused("xyz_csv", "x,y,remark\n1,2,3", "header", unit="m")
    refused("xyz_csv", "x,easting,y,z\n1,2,3,4", "header", unit="m")
    refused("xyz_csv", "x,y,z\n", "line", unit="m")
    refused("xyz_csv", "x,y,7\n1,2,3", "line", unit="m")


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("0,0,1\n5,0\n", "line 2"), ("0,0,1\n\n# note\n5,0,high\n", "line 4"), ("0,0,1\n5,0,inf\n", "line 2"),
        ("0,0,1\n5,0,nan\n", "line 2"), ("0,0,1\n5,0,1_0\n", "line 2"), ("", "line"),
        ("0,0,1\n4,4,1\n0.0000005,0,2\n", "duplicate"),
    ],
)  # fmt: skip
def test_lines_that_cannot_be_read(text, word):
    """A bad line is refused with its number in the file."""
    refused("xyz_csv", text, word, unit="m")


def grid_text(levels, order, keys, cell=2.0, low=(10.0, 20.0), per_line=4):
    """An ASCII grid with its keywords in some order and case."""
    head = {"ncols": levels.shape[1], "nrows": levels.shape[0], "cellsize": cell, f"xll{keys}": low[0],
            f"yll{keys}": low[1], "nodata_value": -99}  # fmt: skip
    lines = [f"{name.upper() if i % 2 else name} {head[name]}" for i, name in enumerate(order(list(head)))]
    values = [str(v) for v in levels.ravel()]
    return "\n".join(lines + [" ".join(values[i : i + per_line]) for i in range(0, len(values), per_line)])


@pytest.mark.parametrize("keys", ["corner", "center"])
@pytest.mark.parametrize("order", [list, lambda names: names[::-1]])
def test_grid_by_another_interpolator(keys, order):
    """Cells and levels between their centres agree with a general library's bilinear interpolation."""
    rng = np.random.default_rng(3)
    levels = rng.uniform(0, 9, (4, 5)).round(3)
    text = grid_text(levels, order, keys)
    off = 1.0 if keys == "corner" else 0.0
    x, y = 10 + off + 2.0 * np.arange(5), 20 + off + 2.0 * np.arange(4)
    other = RegularGridInterpolator((y, x), levels[::-1])
    got = read("esri_ascii", text, unit="m")
    assert got.points_xyz[0] == pytest.approx([x[0], y[-1], levels[0, 0]])
    assert got.points_xyz[-1] == pytest.approx([x[-1], y[0], levels[-1, -1]])
    for px, py in [*rng.uniform((x[0], y[0]), (x[-1], y[-1]), (20, 2)), (x[-1], y[-1]), (x[0], y[2])]:
        sample = read("esri_ascii", text, unit="m", sample_x_m=float(px), sample_y_m=float(py)).sample_m
        assert sample == pytest.approx(float(other((py, px))))
    refused("esri_ascii", text, "outside", unit="m", sample_x_m=float(x[-1]) + 0.01, sample_y_m=float(y[0]))


def test_holes():
    """Holes are counted and left out; a sample that leans on one is refused, one on the far side of it is not."""
    levels = np.array([[1.0, 2.0, 3.0], [4.0, -99.0, 6.0]])
    text = grid_text(levels, list, "center")
    got = read("esri_ascii", text, unit="ft")
    assert (got.points, got.holes) == (5, 1)
    assert np.array(got.points_xyz)[:, 2] == pytest.approx(np.array([1, 2, 3, 4, 6]) * 0.3048)
    refused("esri_ascii", text, "hole", unit="m", sample_x_m=11.0, sample_y_m=21.0)
    assert read("esri_ascii", text, unit="m", sample_x_m=11.0, sample_y_m=22.0).sample_m == pytest.approx(1.5)
    assert read("esri_ascii", text, unit="m", sample_x_m=10.0, sample_y_m=21.0).sample_m == pytest.approx(2.5)


HEAD = "ncols 2\nnrows 1\nxllcorner 0\nyllcorner 0\ncellsize 1\n"


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (HEAD.replace("cellsize 1\n", "") + "1 2", "cellsize"),
        (HEAD.replace("cellsize 1", "cellsize 0") + "1 2", "cellsize"),
        (HEAD.replace("ncols 2\n", "") + "1 2", "ncols"), (HEAD.replace("ncols 2", "ncols 0") + "1 2", "ncols"),
        (HEAD.replace("nrows 1\n", "") + "1 2", "nrows"), (HEAD.replace("yllcorner 0\n", "") + "1 2", "corner"),
        (HEAD + "xllcenter 0\nyllcenter 0\n1 2", "corner"), (HEAD + "xllcorner 0\n1 2", "corner"),
        (HEAD.replace("cellsize 1", "cellsize 0.009") + "1 2", "degree"), (HEAD + "1 2 3", "values"),
        (HEAD + "1 x", "values"), (HEAD + "-9999 -9999", "values"), (HEAD, "values"),
        (HEAD.replace("xllcorner 0", "xllcorner east") + "1 2", "corner"), ("", "cellsize"),
    ],
)  # fmt: skip
def test_grid_refusals(text, word):
    """Each fault of a grid is refused by its word."""
    refused("esri_ascii", text, word, unit="m")


def test_small_cells_in_feet_are_judged_in_metres():
    """The limit against degrees is 0.01 m, its own value included."""
    assert read("esri_ascii", HEAD.replace("cellsize 1", "cellsize 0.01") + "1 2", unit="m").points == 2
    refused("esri_ascii", HEAD.replace("cellsize 1", "cellsize 0.03") + "1 2", "degree", unit="ft")


POINTS = '<P id="a">0 50 1</P><P id="b">0 60 2</P><P id="c">8 60 4</P><P id="d">8 50 3</P>'


def landxml(points=POINTS, faces="<F>a b c</F><F>a c d</F>", units="", attrs='surfType="TIN"', name="s", extra=""):
    """A small file of one surface."""
    surface = (
        f'<Surface name="{name}"><Definition {attrs}><Pnts>{points}</Pnts><Faces>{faces}</Faces></Definition></Surface>'
    )
    return f'<LandXML xmlns="urn:x">{units}<Surfaces>{surface}{extra}</Surfaces></LandXML>'


METRIC, FEET, SURVEY = (
    f"<Units><{kind}/></Units>"
    for kind in ('Metric linearUnit="meter"', 'Imperial linearUnit="foot"', 'Imperial linearUnit="USSurveyFoot"')
)


def test_landxml_planes():
    """Samples lie on the planes of the faces, whichever way they turn; hidden faces are left out; units hold."""
    for faces in ("<F>a b c</F><F>a c d</F>", "<F>c b a</F><F>d c a</F>"):
        for x, y in ((55.0, 1.0), (52.0, 6.0), (60.0, 8.0), (55.0, 4.0)):
            got = read("landxml", landxml(faces=faces, units=METRIC), sample_x_m=x, sample_y_m=y)
            assert got.sample_m == pytest.approx(1 + (x - 50) / 10 + y / 4)
    hidden = read("landxml", landxml(faces='<F>a b c</F><F i="1">a c d</F>'), unit="m")
    assert (hidden.points, hidden.triangles, hidden.triangles_ijk) == (4, 1, [[0, 1, 2]])
    refused(
        "landxml", landxml(faces='<F>a b c</F><F i="1">a c d</F>'), "outside", unit="m", sample_x_m=51.0, sample_y_m=6.0
    )
    for units, factor in ((METRIC, 1.0), (FEET, 0.3048), (SURVEY, 1200 / 3937)):
        assert read("landxml", landxml(units=units)).x_max_m == pytest.approx(60 * factor)
    assert read("landxml", landxml(units=FEET), unit="ft").y_max_m == pytest.approx(8 * 0.3048)


def test_landxml_surface_by_name():
    """One surface needs no name; of several the named one is read."""
    other = landxml(name="t").split("<Surfaces>")[1].split("</Surfaces>")[0]
    two = landxml(extra=other)
    refused("landxml", two, "surface", unit="m")
    assert read("landxml", two, unit="m", surface="t").points == 4
    refused("landxml", two, "surface", unit="m", surface="x")
    refused(
        "landxml",
        landxml(extra=landxml().split("<Surfaces>")[1].split("</Surfaces>")[0]),
        "surface",
        unit="m",
        surface="s",
    )


@pytest.mark.parametrize(
    ("text", "word"),
    [
        (landxml(units='<Units><Metric linearUnit="millimeter"/></Units>'), "unit"),
        (landxml(units=FEET), "unit"),
        (landxml(points=""), "surface"),
        (landxml(attrs='surfType="grid"'), "surface"),
        (landxml(points=POINTS + '<P id="e">1 2 3 4</P>'), "point"),
        (landxml(points=POINTS + '<P id="e">1 2 x</P>'), "point"),
        (landxml(points=POINTS + '<P id="e">1 2 nan</P>'), "point"),
        (landxml(points=POINTS + "<P>1 2 3</P>"), "id"),
        (landxml(faces="<F>a b e</F>"), "id"),
        (landxml(faces="<F>a b</F>"), "id"),
        (landxml(faces="<F>a b c d</F>"), "id"),
        ('<!DOCTYPE x [<!ENTITY e "1">]>' + landxml(), "doctype"),
        ("<LandXML><Surfaces></LandXML>", "xml"),
        ("no markup", "xml"),
        ("<LandXML/>", "surface"),
    ],
)
def test_landxml_refusals(text, word):
    """Each fault of a surface is refused by its word."""
    refused("landxml", text, word, unit="m")


def test_declared_encodings_and_marks_do_not_matter():
    """A byte-order mark, leading blank lines and a declared encoding do not stop the reading of text."""
    for first in ('<?xml version="1.0" encoding="UTF-8"?>', '<?xml version="1.0" encoding="ISO-8859-1"?>'):
        assert read("landxml", "\ufeff\n" + first + landxml(name="é"), unit="m", surface="é").points == 4
    assert read("esri_ascii", "\ufeff" + HEAD + "1 2", unit="m").points == 2


def test_call_refusals():
    """A format, unit or half a sample that is none is refused by its word."""
    refused("dxf", "0,0,1", "format", unit="m")
    refused("xyz_csv", "0,0,1", "unit", unit="yd")
    refused("landxml", landxml(), "unit")
    refused("esri_ascii", HEAD + "1 2", "unit")
    refused("xyz_csv", "0,0,1", "sample", unit="m", sample_x_m=1.0)
    refused("xyz_csv", "0,0,1", "outside", unit="m", sample_x_m=0.0, sample_y_m=0.0)
