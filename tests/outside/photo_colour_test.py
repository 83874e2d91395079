"""Colours against LittleCMS on real files: the mean difference stays under 1 CIEDE2000."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

import fetch
from photo_colour import SRGB, delta_e, display_p3, upright_by_littlecms

PROFILED = [
    ("xmp_test.jpg", "Adobe RGB (1998)"),
    ("icc_profile_big.jpg", "TIFF RGB"),
    ("flower2.jpg", "sRGB IEC61966-2.1"),
    ("flower2.webp", "sRGB IEC61966-2.1"),
    ("hopper.iccprofile.tif", "sRGB IEC61966-2.1"),
    ("tiff_adobe_deflate.tif", "sRGB IEC61966-2.1"),
    ("tiff_strip_ycbcr_jpeg_1x1_sampling.tif", "sRGB IEC61966-2.1"),
    ("pil_sample_rgb.jpg", "sRGB IEC61966-2.1"),
]


@pytest.mark.parametrize(("name", "space"), PROFILED)
def test_a_profile_is_followed(probe, name, space):
    file = fetch.pillow_pictures() / name
    assert probe.facts(file)["colour"] == space
    assert delta_e(probe.upright(file), upright_by_littlecms(file)).mean() < 1


def test_a_preview_looks_like_one_by_pillow(probe):
    # With this gap Pillow, too, lets the JPEG decoder do the first part of the reduction.
    file = fetch.pillow_pictures() / "xmp_test.jpg"
    with Image.open(file) as picture:
        source = ImageCms.ImageCmsProfile(io.BytesIO(picture.info["icc_profile"]))
        picture.thumbnail((700, 700), Image.Resampling.LANCZOS, reducing_gap=1.0)
        expected = np.asarray(ImageCms.profileToProfile(picture, source, SRGB, outputMode="RGB"))
    ours = probe.preview(file, 700)
    assert ours.shape == expected.shape
    assert delta_e(ours, expected).mean() < 1


def photograph() -> Image.Image:
    """A real portrait (NASA, public domain)."""
    return Image.open(fetch.scikit_image_pictures() / "astronaut.png").convert("RGB")


def profile(space: str) -> bytes:
    return display_p3() if space == "display-p3" else (fetch.profiles() / f"{space}.icc").read_bytes()


@pytest.mark.parametrize("space", ["display-p3", "a98", "rommrgb"])
@pytest.mark.parametrize("kind", ["jpeg", "png", "webp", "tiff"])
def test_wide_spaces_in_every_format(probe, tmp_path, space, kind):
    file = tmp_path / f"wide.{kind}"
    options = {"jpeg": {"quality": 95, "subsampling": 0}, "webp": {"lossless": True}}.get(kind, {})
    photograph().save(file, format=kind, icc_profile=profile(space), **options)
    assert probe.facts(file)["note"] is None
    ours, expected = probe.upright(file), upright_by_littlecms(file)
    assert delta_e(expected, np.asarray(photograph())).mean() > 1, "the profile makes a difference"
    assert delta_e(ours, expected).mean() < 1


@pytest.mark.parametrize("kind", ["jpeg", "png", "tiff"])
def test_a_grey_profile_is_followed(probe, tmp_path, kind):
    file = tmp_path / f"grey.{kind}"
    photograph().convert("L").save(file, format=kind, icc_profile=profile("ps_gray"))
    assert probe.facts(file)["note"] is None
    assert delta_e(probe.upright(file), upright_by_littlecms(file)).mean() < 1


@pytest.mark.parametrize("kind", ["jpeg", "tiff"])
def test_a_press_profile_is_followed(probe, tmp_path, kind):
    press = ImageCms.ImageCmsProfile(str(fetch.profiles() / "default_cmyk.icc"))
    inks = ImageCms.profileToProfile(photograph(), SRGB, press, outputMode="CMYK")
    file = tmp_path / f"inks.{kind}"
    inks.save(file, format=kind, icc_profile=profile("default_cmyk"), **({"quality": 95} if kind == "jpeg" else {}))
    assert probe.facts(file)["note"] is None
    assert delta_e(probe.upright(file), upright_by_littlecms(file)).mean() < 1
    assert probe.embeddable(file) is None


@pytest.mark.parametrize(
    "name", ["pil_sample_cmyk.jpg", "tiff_strip_cmyk_jpeg.tif", "tiff_tiled_cmyk_jpeg.tif", "tiff_strip_cmyk_16l_jpeg.tif"]
)
def test_inks_without_a_profile_are_taken_for_swop(probe, name):
    # The reference is the same press (CGATS TR 001, SWOP) by another maker's profile, so the two agree closely but not exactly.
    file = fetch.pillow_pictures() / name
    assert "approximate" in probe.facts(file)["note"]
    expected = upright_by_littlecms(file, profile("default_cmyk"))
    assert delta_e(probe.upright(file), expected).mean() < 4


def test_an_untagged_photo_is_srgb(probe):
    file = fetch.pillow_pictures() / "hopper.jpg"
    with Image.open(file) as picture:
        assert "icc_profile" not in picture.info
        expected = np.asarray(picture.convert("RGB"))
    assert probe.facts(file)["colour"] == "taken for sRGB, the usual one: the photo does not say"
    assert delta_e(probe.upright(file), expected).mean() < 1


@pytest.mark.parametrize("name", ["china.jpg", "flower.jpg"])
def test_a_new_jpeg_looks_like_the_photo(probe, name, tmp_path):
    file = fetch.scikit_learn_pictures() / name
    new = tmp_path / "new.jpg"
    new.write_bytes(probe.as_jpeg(file, 95))
    assert delta_e(upright_by_littlecms(new), upright_by_littlecms(file)).mean() < 1
