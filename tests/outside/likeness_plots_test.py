"""Plots, measures and proportions of a public-domain portrait against NumPy and the population's spread."""

import json

import numpy as np
import pytest
from PIL import Image
from skimage import data

# Read off NASA's portrait of an astronaut (public domain, in scikit-image), to about a pixel.
LANDMARKS = {
    "right pupil": (204, 101),
    "left pupil": (246, 103),
    "outer corner of the right eye": (193, 101),
    "inner corner of the right eye": (212, 102),
    "inner corner of the left eye": (238, 104),
    "outer corner of the left eye": (257, 104),
    "base of the nose": (224, 131),
    "right corner of the mouth": (204, 140),
    "left corner of the mouth": (243, 141),
}
CROWN, CHIN = (232, 16), (228, 178)
MEASURES = {"eye": ("outer corner of the right eye", "inner corner of the right eye"), "pupils": ("right pupil", "left pupil")}
SIDE_MM, PIXELS = 12 * 25.4, 512
COLUMNS, ROWS = 7, 5


@pytest.fixture(scope="module")
def painting(mahlstick, tmp_path_factory):
    folder = tmp_path_factory.mktemp("portrait")
    Image.fromarray(data.astronaut()).save(folder / "portrait.png")
    points = {name: f"{x},{y}" for name, (x, y) in LANDMARKS.items()}
    options = [part for name, at in points.items() for part in ("--landmark", f"{name}={at}")]
    options += [part for name, (a, b) in MEASURES.items() for part in ("--measure", f"{name}={points[a]},{points[b]}")]
    mahlstick(
        "new", folder / "portrait.mahlstick", "--photo", folder / "portrait.png", "--canvas", "12x12in",
        "--divide", f"{COLUMNS}x{ROWS}", "--crown", "%d,%d" % CROWN, "--chin", "%d,%d" % CHIN, "--unit", "eye", *options,
    )
    return folder / "portrait.mahlstick"


@pytest.fixture(scope="module")
def told(mahlstick, painting):
    return json.loads(mahlstick("plot", painting, "--json"))


def nearest(place, parts):
    """Box and nearest line by hand: all lines tried."""
    lines = np.linspace(0, SIDE_MM, parts + 1)
    line = int(np.abs(lines - place).argmin())
    return np.digitize(place, lines[1:-1]), line, place - lines[line]


def test_every_landmark_is_in_the_box_and_by_the_line_that_numpy_finds(told):
    placed = LANDMARKS | {"crown": CROWN, "chin": CHIN}
    assert {landmark["name"] for landmark in told["landmarks"]} == set(placed)
    for landmark in told["landmarks"]:
        x, y = (np.array(placed[landmark["name"]]) * SIDE_MM / PIXELS).tolist()
        column, across, right = nearest(x, COLUMNS)
        row, down, below = nearest(y, ROWS)
        plot = landmark["plot"]
        assert plot["grid_box"] == f"{'ABCDEFG'[column]}{row + 1}"
        assert (plot["across"]["line"], plot["down"]["line"]) == (across, down)
        assert plot["across"]["distance"]["mm"] == pytest.approx(abs(right), abs=1e-5)
        assert plot["down"]["distance"]["mm"] == pytest.approx(abs(below), abs=1e-5)
        assert plot["across"]["beside"] == ("right of" if right >= 0 else "left of")
        assert plot["down"]["beside"] == ("below" if below >= 0 else "above")


def test_measures_are_lengths_and_leans_by_trigonometry(told):
    lengths = {}
    for measure in told["measures"]:
        (x, y), (to_x, to_y) = (LANDMARKS[name] for name in MEASURES[measure["name"]])
        run, fall = np.array([to_x - x, to_y - y]) * SIDE_MM / PIXELS
        lengths[measure["name"]] = np.hypot(run, fall)
        assert measure["length"]["mm"] == pytest.approx(np.hypot(run, fall), abs=1e-5)
        assert measure["off_level_degrees"] == pytest.approx(np.degrees(np.arctan2(fall, run)), abs=1e-5)
        assert measure["in_units"] == pytest.approx(lengths[measure["name"]] / lengths["eye"], abs=1e-5)


def test_a_real_face_lies_within_the_spread_of_the_population(mahlstick, painting):
    proportions = json.loads(mahlstick("proportions", painting, "--json"))["proportions"]
    eye_line = next(proportion for proportion in proportions if proportion["what"].startswith("eye line"))
    women = next(people for people in eye_line["population"] if people["who"] == "women")
    # ANSUR II measured without hair; hers stands high and moves the eye line down.
    assert women["mean"] < eye_line["value"] < women["mean"] + 3 * women["sd"]
    tilt = next(proportion for proportion in proportions if proportion["what"] == "tilt of the eye line")
    assert tilt["value"] == pytest.approx(np.degrees(np.arctan2(3, 64)), abs=1e-5)
