"""Everything that is drawn at true size, measured on pictures that Poppler makes of the sheets.

The expected places are those that `mahlstick marks --json` tells, and the lengths written beside a scale bar.
"""

import re

import numpy as np
import pytest
from scipy import ndimage
from skimage import data, transform

import raster
from raster import MM_PER_DOT, PAPERS_MM, dots

TOLERANCE_MM = 0.05
CORRECTIONS = {"true": None, "corrected": (99.4, 100.6)}


@pytest.fixture(scope="session")
def photo(tmp_path_factory):
    """A real photo (NASA, public domain, from scikit-image), 2048 dots square."""
    path = tmp_path_factory.mktemp("photo") / "astronaut.jpg"
    large = transform.resize(data.astronaut(), (2048, 2048), order=3)
    raster.Image.fromarray((large * 255).clip(0, 255).astype(np.uint8)).save(path, quality=92)
    return path


@pytest.fixture
def packet(mahlstick, photo, tmp_path):
    """Makes a packet and gives its path."""

    def make(*options):
        path = tmp_path / "packet.pdf"
        mahlstick("packet", "--photo", photo, *options, "-o", path)
        return path

    return make


def comes_out(correction, is_landscape):
    """How long a drawn millimetre comes out on a printer with this error: across the page, and down it.

    The error belongs to the paper, so on a page that lies on its side it is exchanged.
    """
    if correction is None:
        return 1.0, 1.0
    across, along = (bar / 100.0 for bar in correction)
    return (along, across) if is_landscape else (across, along)


def bars_option(correction):
    return [] if correction is None else ["--bars", "x".join(f"{bar}mm" for bar in correction)]


PRINTED = [
    pytest.mark.parametrize("correction", CORRECTIONS.values(), ids=CORRECTIONS),
    pytest.mark.parametrize("paper", PAPERS_MM),
]


def printed(test):
    """Runs a test on every paper, for a true printer and for a corrected one."""
    for mark in PRINTED:
        test = mark(test)
    return test


@printed
def test_bars_and_grid_of_every_sheet_are_true(packet, marks, paper, correction):
    canvas = ["--canvas", "12x16in", "--divide", "6x8", "--place", "fill"]
    pdf = packet(*canvas, "--only", "film", "--paper", paper, *bars_option(correction))
    sides = marks(*canvas)["sides"]
    sheets = [
        raster.true_size_sheet(darkness, text)
        for darkness, text in zip(raster.pictures(pdf), raster.texts(pdf), strict=True)
    ]
    rows, columns = max(sheet.row for sheet in sheets), max(sheet.column for sheet in sheets)
    assert len(sheets) == rows * columns
    for sheet in sheets:
        across, down = comes_out(correction, sheet.is_landscape)
        for (direction, unit), length in sheet.bars.items():
            true_length = {"mm": 100.0, "in": 4 * 25.4}[unit]
            scale = across if direction == "level" else down
            assert length * scale == pytest.approx(true_length, abs=TOLERANCE_MM), (direction, unit)
        check_lines(sheet.upright, across, sides["top"], 12 * 25.4, sheet.column == 1, sheet.column == columns)
        check_lines(sheet.level, down, sides["left"], 16 * 25.4, sheet.row == 1, sheet.row == rows)


def check_lines(lines, scale, side, total, is_first, is_last):
    """The lines of one sheet against a side's marks: from the canvas's edge where the sheet shows it."""
    from_start, from_end = [mark["mm"] for mark in side], [mark["from_other_end_mm"] for mark in reversed(side)]
    assert len(lines) >= 2
    if is_first:
        check_from_edge([(line - lines[0]) * scale for line in lines], [0.0, *from_start, total])
    if is_last:
        check_from_edge([(lines[-1] - line) * scale for line in reversed(lines)], [0.0, *from_end, total])
    steps = np.diff(lines) * scale
    assert steps == pytest.approx(np.full(len(steps), from_start[0]), abs=TOLERANCE_MM)


def check_from_edge(measured, expected):
    assert measured == pytest.approx(expected[: len(measured)], abs=TOLERANCE_MM)


# Of a side, and of its piece where it has several.
STRIP_NAME = (
    r"(Top|Right|Bottom|Left) side, read from the \w+, (?:on|outside) the canvas: "
    r"[^\n]*?(?:piece (\d) of (\d))?\n"
)


@printed
def test_edge_strips_bear_the_marks_of_each_side(packet, marks, paper, correction):
    canvas = ["--canvas", "12x16in", "--divide", "3x5"]
    pdf = packet(*canvas, "--only", "strips", "--paper", paper, *bars_option(correction))
    sides = marks(*canvas)["sides"]
    seen = set()
    for darkness, text in zip(raster.pictures(pdf), raster.texts(pdf), strict=True):
        across, _ = comes_out(correction, is_landscape=True)
        names = re.findall(STRIP_NAME, text)
        strips = list(strips_on(darkness))
        assert len(strips) == len(names)
        for (name, piece, pieces), (left, right, ticks) in zip(names, strips):
            seen.add(name.lower())
            marks_mm = [mark["mm"] for mark in sides[name.lower()]]
            total = marks_mm[0] + sides[name.lower()][0]["from_other_end_mm"]
            if piece in ("", "1"):
                expected = [place for place in marks_mm if place < (right - left) * across]
                assert [(tick - left) * across for tick in ticks] == pytest.approx(expected, abs=TOLERANCE_MM)
            if piece == pieces:
                expected = [total - place for place in marks_mm if total - place < (right - left) * across]
                assert [(right - tick) * across for tick in ticks] == pytest.approx(expected, abs=TOLERANCE_MM)
            if pieces == "":
                assert (right - left) * across == pytest.approx(total, abs=TOLERANCE_MM)
    assert seen == set(sides)


def strips_on(darkness):
    """Each strip's left and right end and the ticks between, from top to bottom: a strip is two long level lines."""
    level = raster.middles(darkness[:, dots(30) : dots(90)].mean(axis=1), least=0.9)
    for top, bottom in zip(level[::2], level[1::2]):
        assert 15 < bottom - top < 20
        foot = darkness[dots(bottom - 3.5) : dots(bottom - 0.5)].mean(axis=0)
        lines = raster.middles(foot, least=0.9)
        whole = darkness[dots(top + 0.5) : dots(bottom - 0.5)].mean(axis=0)
        left, right = raster.middles(whole, least=0.9)
        yield left, right, [line for line in lines if left + 0.2 < line < right - 0.2]


@pytest.mark.parametrize("correction", CORRECTIONS.values(), ids=CORRECTIONS)
def test_corners_of_a_measured_canvas_lie_where_its_sides_and_diagonals_put_them(packet, marks, correction):
    canvas = ["--canvas", "5x7in", "--measured", "127,178.5,126,177.5,218.5,217.5mm", "--place", "fill"]
    pdf = packet(*canvas, "--only", "film", "--paper", "a4", *bars_option(correction))
    (darkness,) = raster.pictures(pdf)
    expected = np.array(marks(*canvas)["canvas"]["measured"]["corners_mm"])
    found = np.array(corners_on(darkness)) * comes_out(correction, is_landscape=False)
    for one in range(4):
        for other in range(one):
            distance = np.linalg.norm(found[one] - found[other])
            assert distance == pytest.approx(np.linalg.norm(expected[one] - expected[other]), abs=TOLERANCE_MM)


def corners_on(darkness):
    """The corners of the outermost lines, found as crossings of straight lines fitted to them."""
    bottom, left = darkness.shape[0] - dots(raster.MARGIN + raster.BAND), dots(raster.MARGIN + raster.LEFT_OF_PICTURE)
    strong = 0.5

    def line_through(profiles, at, before, end):
        """The outermost stroke of each profile, as place = start + slope * along; `before` mm lie before the profiles."""
        strokes = [raster.middles(profile, strong)[end] + before for profile in profiles]
        slope, start = np.polyfit([(dot + 0.5) * MM_PER_DOT for dot in at], strokes, 1)
        return start, slope

    # Between the grid lines with their figures and the names of the boxes.
    rows = [dots(mm) for mm in (42, 88, 110, 155)]
    before = left * MM_PER_DOT
    upright = [line_through([darkness[row, left:] for row in rows], rows, before, end) for end in (0, -1)]
    columns = [dots(mm) for mm in (71, 104, 135, 151)]
    level = [line_through([darkness[:bottom, at] for at in columns], columns, 0.0, end) for end in (0, -1)]

    def crossing(side, edge):
        (x0, dx), (y0, dy) = side, edge
        y = (y0 + dy * x0) / (1 - dx * dy)
        return x0 + dx * y, y

    (left_side, right_side), (top, low) = upright, level
    return [crossing(left_side, top), crossing(right_side, top), crossing(right_side, low), crossing(left_side, low)]


@pytest.mark.parametrize("correction", CORRECTIONS.values(), ids=CORRECTIONS)
def test_a_feature_on_two_sheets_lies_at_the_same_place_of_the_canvas(packet, correction):
    """Both sheets show the lap. Each is laid on the canvas by the canvas's own edges, then the pictures must agree."""
    options = ["--canvas", "12x12in", "--place", "fill", *bars_option(correction)]
    films = packet(*options, "--only", "film")
    first_film, second_film = [
        raster.true_size_sheet(darkness, text)
        for darkness, text in list(zip(raster.pictures(films), raster.texts(films)))[:2]
    ]
    first, second = list(raster.pictures(packet(*options, "--only", "reference", "--no-lines")))[:2]
    scale = comes_out(correction, first_film.is_landscape)
    total = 12 * 25.4
    views = [
        # Where on the sheet a place of the canvas lies, and how far on the canvas the sheet's picture reaches.
        View(first, scale, first_film.upright[0], first_film.level[0]),
        View(second, scale, second_film.upright[-1] - total / scale[0], second_film.level[0]),
    ]
    lap = views[1].picture[0], views[0].picture[1]
    assert 9 < lap[1] - lap[0] < 11
    seam = sum(lap) / 2
    # Beside the seam with its dashes; between the upper cross and the note.
    x, y = np.meshgrid(np.arange(seam + 0.8, seam + 4.2, 0.05), np.arange(36, 62, 0.05))
    patches = [view.darkness_at(x, y) for view in views]
    assert patches[0].std() > 0.05, "there is no feature to compare"
    assert np.linalg.norm(shift_between(*patches)) * 0.05 < TOLERANCE_MM
    moved = views[1].darkness_at(x + 0.1, y - 0.1)
    assert shift_between(patches[0], moved) * 0.05 == pytest.approx([0.1, -0.1], abs=0.04), "a shift would go unnoticed"


class View:
    """A sheet looked at in millimetres of canvas."""

    def __init__(self, darkness, scale, left, top):
        self.darkness, self.scale, self.left, self.top = darkness, scale, left, top
        beside_bar = dots(raster.MARGIN + raster.LEFT_OF_PICTURE)
        dark = np.flatnonzero(darkness[dots(60) : dots(65), beside_bar:].mean(axis=0) > 0.02) + beside_bar
        self.picture = [(column * MM_PER_DOT - left) * scale[0] for column in (dark[0], dark[-1] + 1)]

    def darkness_at(self, x, y):
        """Darkness at places of the canvas; the middle of the first dot is half a dot from the sheet's corner."""
        places = [self.top + y / self.scale[1], self.left + x / self.scale[0]]
        return ndimage.map_coordinates(self.darkness, [place / MM_PER_DOT - 0.5 for place in places], order=1)


def shift_between(one, other):
    """By how much `other` is looked at too far right and down, in samples: least squares over all gradients (Lucas and
    Kanade, "An iterative image registration technique", IJCAI 1981)."""
    one, other = (ndimage.gaussian_filter(patch, 4) for patch in (one, other))
    down, across = np.gradient((one + other) / 2)
    slopes = np.stack([across.ravel(), down.ravel()], axis=1)
    return np.linalg.lstsq(slopes, (other - one).ravel(), rcond=None)[0]
