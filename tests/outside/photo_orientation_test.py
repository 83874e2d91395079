"""Orientation against Pillow's `ImageOps.exif_transpose` (Exif tag 0x0112, CIPA DC-008) on real files."""

import numpy as np
import pytest
from PIL import Image, ImageOps

import fetch
from photo_colour import delta_e

HOPPER = [f"hopper_orientation_{number}.{kind}" for number in range(2, 9) for kind in ("jpg", "webp")]
PAGES = [f"g4_orientation_{number}.tif" for number in range(1, 9)]


@pytest.mark.parametrize("name", HOPPER + PAGES)
def test_the_picture_stands_upright(probe, name):
    file = fetch.pillow_pictures() / name
    with Image.open(file) as picture:
        expected = np.asarray(ImageOps.exif_transpose(picture).convert("RGB"))
    ours = probe.upright(file)
    assert ours.shape == expected.shape
    assert delta_e(ours, expected).mean() < 1


@pytest.mark.parametrize("name", HOPPER)
def test_the_number_is_the_one_in_the_file(probe, name):
    number = int(name.split("_")[-1].split(".")[0])
    assert probe.facts(fetch.pillow_pictures() / name)["orientation"] == number


@pytest.mark.parametrize("name", [f"hopper_orientation_{number}.jpg" for number in range(2, 9)])
def test_the_embedded_copy_is_stored_as_in_the_file(probe, name, tmp_path):
    file = fetch.pillow_pictures() / name
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(probe.embeddable(file))
    with Image.open(file) as original, Image.open(copy) as embedded:
        assert np.array_equal(np.asarray(original), np.asarray(embedded))
        assert not embedded.getexif()
