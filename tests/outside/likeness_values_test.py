"""Munsell value and value maps against colour-science (ASTM D1535-08, IEC 61966-2-1) and the table of ASTM D1535."""

import json
import subprocess
import warnings

import numpy as np
import pytest
from PIL import Image
from skimage import data

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # It tells of optional packages that are not there.
    import colour
    from colour.colorimetry import luminance_ASTMD1535
    from colour.notation import munsell_value_ASTMD1535

# ASTM D1535, luminance factors of the whole values relative to the perfect diffuser, in per cent.
ASTM_TABLE = {1: 1.18, 2: 3.05, 3: 6.39, 4: 11.70, 5: 19.27, 6: 29.30, 7: 41.99, 8: 57.62, 9: 76.70, 10: 100.0}


@pytest.fixture(scope="module")
def munsell(target):
    """What our crate makes of colours, values and luminances."""

    def ask(**asked):
        program = target / "release/examples/munsell"
        run = subprocess.run([program], input=json.dumps(asked), capture_output=True, text=True, check=True)
        return json.loads(run.stdout)

    return ask


def luminance(rgb):
    """Luminance of 8-bit sRGB, 0 to 1, by colour-science."""
    linear = colour.models.eotf_sRGB(np.asarray(rgb, dtype=float) / 255)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


def test_luminance_of_value_is_that_of_the_standard_and_of_colour_science(munsell):
    ours = np.array(munsell(values=list(ASTM_TABLE))["luminances"]) * 100
    assert ours == pytest.approx(list(ASTM_TABLE.values()), abs=0.006)
    values = np.linspace(0, 10, 101)
    assert np.array(munsell(values=values.tolist())["luminances"]) * 100 == pytest.approx(luminance_ASTMD1535(values), abs=1e-9)


def test_value_of_luminance_is_that_of_colour_science(munsell):
    # The check point that colour-science documents: 12.2363426 % is value 4.08244375.
    assert munsell(luminances=[0.122363426])["values"][0] == pytest.approx(4.08244375, abs=1e-6)
    luminances = np.linspace(0.001, 1, 200)
    # colour-science interpolates in a table of thousandths of value.
    theirs = munsell_value_ASTMD1535(luminances * 100)
    assert munsell(luminances=luminances.tolist())["values"] == pytest.approx(theirs, abs=1e-3)


def test_colours_have_the_value_of_their_luminance(munsell):
    colours = np.random.default_rng(1905).integers(0, 256, (400, 3))
    theirs = munsell_value_ASTMD1535(luminance(colours) * 100)
    assert munsell(rgb=colours.ravel().tolist())["values_of_rgb"] == pytest.approx(theirs, abs=2e-3)


def test_value_follows_cielab_lightness_as_published(munsell):
    # Munsell values of L* 10 to 90 by colour-science: about a tenth of L*, at most 0.1 less.
    lightness = np.arange(10, 100, 10)
    luminances = colour.colorimetry.luminance_CIE1976(lightness) / 100
    ours = np.array(munsell(luminances=luminances.tolist())["values"])
    assert ours == pytest.approx([0.960, 1.976, 2.963, 3.929, 4.901, 5.895, 6.912, 7.945, 8.981], abs=2e-3)
    assert np.abs(ours - lightness / 10).max() < 0.11


@pytest.mark.parametrize("steps", [2, 5, 9])
def test_an_unsmoothed_map_puts_each_pixel_of_a_portrait_into_the_step_of_its_value(mahlstick, tmp_path, steps):
    # NASA's portrait of an astronaut, public domain, from scikit-image.
    portrait = data.astronaut()
    Image.fromarray(portrait).save(tmp_path / "portrait.png")
    mahlstick("values", "--photo", tmp_path / "portrait.png", "--steps", steps, "--smooth", "0mm", "-o", tmp_path / "map.png")
    ours = np.asarray(Image.open(tmp_path / "map.png"))
    assert (ours[..., 0] == ours[..., 1]).all() and (ours[..., 1] == ours[..., 2]).all()
    values = munsell_value_ASTMD1535(luminance(portrait) * 100)
    numbers = np.clip(np.round((values - 1) * (steps - 1) / 8), 0, steps - 1)
    of_step = 1 + np.arange(steps) * 8 / (steps - 1)
    greys = np.round(colour.models.eotf_inverse_sRGB(luminance_ASTMD1535(of_step) / 100) * 255)
    # A pixel whose value lies on the border of two steps, to a few thousandths, may go to either.
    assert (ours[..., 0] == greys[numbers.astype(int)]).mean() > 0.998
