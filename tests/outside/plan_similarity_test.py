"""Similarity fits against scikit-image's transform estimation (Umeyama, IEEE PAMI 13, 1991)."""

import json
import subprocess

import numpy as np
import pytest
from skimage.transform import SimilarityTransform


@pytest.fixture(scope="module")
def sets():
    rng = np.random.default_rng(1991)
    made = []
    for _ in range(100):
        count = int(rng.integers(3, 12))
        photo = rng.uniform(0, 4000, (count, 2))
        turn, pixel = rng.uniform(-np.pi, np.pi), rng.uniform(0.02, 0.5)
        rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        canvas = pixel * photo @ rotation.T + rng.uniform(-300, 300, 2) + rng.normal(0, 2, (count, 2))
        made.append((photo, canvas))
    return made


def fit(target, sets):
    asked = json.dumps([{"photo": photo.tolist(), "canvas": canvas.tolist()} for photo, canvas in sets])
    run = subprocess.run([target / "release/examples/similarity"], input=asked, capture_output=True, text=True, check=True)
    return json.loads(run.stdout)


def test_scale_turn_and_place_agree_with_scikit_image(target, sets):
    for (photo, canvas), ours in zip(sets, fit(target, sets), strict=True):
        theirs = SimilarityTransform.from_estimate(photo, canvas)
        turn = np.degrees(theirs.rotation)
        assert ours["pixel_mm"] == pytest.approx(theirs.scale, rel=1e-9)
        assert (ours["turn_degrees"] - turn + 180) % 360 - 180 == pytest.approx(0, abs=1e-7)
        assert ours["origin_mm"] == pytest.approx(theirs.translation, abs=1e-6)
        residual = np.sqrt((theirs.residuals(photo, canvas) ** 2).mean())
        assert ours["residual_mm"] == pytest.approx(residual, rel=1e-6)


def test_the_published_example_of_umeyama(target):
    # Umeyama 1991, section V: with reflection excluded c = 0.721, t = (-0.8, 0.4), mean squared residual 0.533.
    photo, canvas = np.array([(0, 0), (1, 0), (0, 2.0)]), np.array([(0, 0), (-1, 0), (0, 2.0)])
    ours = fit(target, [(photo, canvas)])[0]
    assert ours["pixel_mm"] == pytest.approx(0.721, abs=5e-4)
    assert ours["origin_mm"] == pytest.approx([-0.8, 0.4], abs=1e-9)
    assert ours["residual_mm"] ** 2 == pytest.approx(0.5333, abs=5e-5)
