"""The measured canvas against SciPy's least squares, and the marks against the trade's own figures."""

import math

import numpy as np
import pytest
from scipy.optimize import least_squares

QUADRILATERALS = 200
JOINED = [(0, 1), (1, 2), (3, 2), (0, 3), (0, 2), (3, 1)]  # top, right, bottom, left, down, up


def corners_of(shape):
    """Corners in the canvas frame: top left at the origin, top side along x."""
    a, b, c, d, e = shape
    return np.array([(0, 0), (a, 0), (b, c), (d, e)])


def lengths_of(corners):
    return np.array([np.hypot(*(corners[j] - corners[i])) for i, j in JOINED])


def random_measurements():
    """Out-of-square canvases from 20 cm to 1.5 m, read to the nearest millimetre or sixteenth, so that no outline closes."""
    rng = np.random.default_rng(20260418)
    for case in range(QUADRILATERALS):
        width, height = rng.uniform(200, 1500, 2)
        lean = rng.uniform(-0.01, 0.01, 5) * min(width, height)
        true = lengths_of(corners_of(np.array([width, width, height, 0, height]) + lean))
        division = 1.0 if case % 2 else 25.4 / 16
        yield width, height, np.round(true / division) * division


def test_corners_and_residual_agree_with_scipy_on_random_quadrilaterals(marks):
    for width, height, measured in random_measurements():
        solved = least_squares(
            lambda shape: lengths_of(corners_of(shape)) - measured,
            [width, width, height, 0, height],
            xtol=1e-14, ftol=1e-14, gtol=1e-14,
        )
        answer = marks(
            "--canvas", f"{width:.9f}x{height:.9f}mm",
            "--measured", ",".join(f"{length:.9f}mm" for length in measured),
        )["canvas"]["measured"]
        assert np.abs(np.array(answer["corners_mm"]) - corners_of(solved.x)).max() < 1e-4
        assert answer["residual_mm"] == pytest.approx(math.sqrt(2 * solved.cost / 6), abs=1e-5)


def test_corner_angles_agree_with_the_law_of_cosines(marks):
    # A parallelogram 300 x 400 mm leaning by 3 degrees: its diagonals follow from the law of cosines.
    lean = math.radians(87)
    down = math.sqrt(300**2 + 400**2 + 2 * 300 * 400 * math.cos(lean))
    up = math.sqrt(300**2 + 400**2 - 2 * 300 * 400 * math.cos(lean))
    answer = marks("--canvas", "300x400mm", "--measured", f"300,400,300,400,{down:.9f},{up:.9f}")
    assert answer["canvas"]["measured"]["corner_degrees"] == pytest.approx([87, 93, 87, 93], abs=1e-5)
    assert answer["diagonal_mm"] == pytest.approx([down, up], abs=1e-5)


def test_a_twelve_inch_canvas_is_marked_at_3_6_9_and_its_head_box_at_2_4_6(marks):
    # Common practice, no source.
    answer = marks("--canvas", "12x12in", "--detail", "2in,2in,8x8in:4")
    for side in answer["sides"].values():
        assert [mark["reading"] for mark in side] == ["3 in", "6 in", "9 in"]
        assert [mark["mm"] for mark in side] == [76.2, 152.4, 228.6]
    for inner in ("across", "down"):
        assert [mark["reading"] for mark in answer["details"][0][inner]] == ["2 in", "4 in", "6 in"]
    assert answer["diagonal_mm"] == pytest.approx([12 * math.sqrt(2) * 25.4] * 2, abs=1e-6)
