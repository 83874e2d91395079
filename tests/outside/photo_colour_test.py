"""Colours against LittleCMS on real files: the mean difference stays under 1 CIEDE2000."""

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

import fetch
from photo_colour import SRGB, delta_e, upright_by_littlecms

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


def test_a_profile_is_followed_in_a_preview(probe):
    file = fetch.pillow_pictures() / "xmp_test.jpg"
    expected = Image.fromarray(upright_by_littlecms(file)).resize((500, 268), Image.Resampling.LANCZOS, reducing_gap=None)
    ours = probe.preview(file, 500)
    assert ours.shape == (268, 500, 3)
    assert delta_e(ours, np.asarray(expected)).mean() < 1


def photograph() -> Image.Image:
    """A real portrait (NASA, public domain)."""
    return Image.open(fetch.scikit_image_pictures() / "astronaut.png").convert("RGB")


# W3C PNG and ICC.1 name no profiles; these are the spaces that cameras, telephones and editors write.
WIDE_SPACES = ["Display P3", "ProPhoto"]


def profile_with(primaries, gamma: float) -> bytes:
    """A matrix profile of these primaries (x, y of red, green and blue) and D65 white, made by hand after ICC.1:2010."""
    import struct

    white = np.array([0.3127 / 0.3290, 1, (1 - 0.3127 - 0.3290) / 0.3290])
    columns = np.array([[x / y, 1, (1 - x - y) / y] for x, y in primaries]).T
    to_xyz = columns * np.linalg.solve(columns, white)
    # Bradford adaptation from D65 to D50 (ICC.1:2010, annex E).
    bradford = np.array([[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]])
    d50 = np.array([0.9642, 1, 0.8249])
    gain = np.diag((bradford @ d50) / (bradford @ white))
    colorants = np.linalg.inv(bradford) @ gain @ bradford @ to_xyz

    def fixed(value):
        return struct.pack(">i", round(value * 65536))

    name = b"Made for a test"
    tags = {
        b"desc": b"desc\0\0\0\0" + struct.pack(">I", len(name) + 1) + name + b"\0" * 79,
        b"cprt": b"text\0\0\0\0none\0",
        b"wtpt": b"XYZ \0\0\0\0" + b"".join(map(fixed, d50)),
    }
    for channel, tag in enumerate((b"r", b"g", b"b")):
        tags[tag + b"XYZ"] = b"XYZ \0\0\0\0" + b"".join(map(fixed, colorants[:, channel]))
        tags[tag + b"TRC"] = b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))
    table, data = b"", b""
    start = 128 + 4 + 12 * len(tags)
    for tag, content in tags.items():
        data += b"\0" * (-len(data) % 4)
        table += tag + struct.pack(">II", start + len(data), len(content))
        data += content
    size = start + len(data)
    header = struct.pack(">I4sI4s4s4s", size, b"none", 0x02100000, b"mntr", b"RGB ", b"XYZ ")
    header += struct.pack(">6H", 2024, 1, 1, 0, 0, 0) + b"acsp" + b"\0" * 28 + b"".join(map(fixed, d50))
    return header.ljust(128, b"\0") + struct.pack(">I", len(tags)) + table + data


@pytest.mark.parametrize(
    ("space", "primaries", "gamma"),
    [
        # Display P3 has these primaries (SMPTE EG 432-1); its curve is close to 2.2.
        ("display-p3", [(0.680, 0.320), (0.265, 0.690), (0.150, 0.060)], 2.2),
        # Adobe RGB (1998) Color Image Encoding, 2005-05.
        ("adobe-rgb", [(0.64, 0.33), (0.21, 0.71), (0.15, 0.06)], 2.199),
    ],
)
@pytest.mark.parametrize("kind", ["jpeg", "png", "webp", "tiff"])
def test_wide_gamuts_in_every_format(probe, tmp_path, space, primaries, gamma, kind):
    file = tmp_path / f"wide.{kind}"
    options = {"jpeg": {"quality": 95, "subsampling": 0}, "webp": {"lossless": True}}.get(kind, {})
    photograph().save(file, format=kind, icc_profile=profile_with(primaries, gamma), **options)
    assert probe.facts(file)["colour"] == "Made for a test"
    ours, expected = probe.upright(file), upright_by_littlecms(file)
    assert delta_e(expected, np.asarray(photograph())).mean() > 1, "the profile makes a difference"
    assert delta_e(ours, expected).mean() < 1


@pytest.mark.parametrize("kind", ["jpeg", "png", "tiff"])
def test_a_grey_profile_is_followed(probe, tmp_path, kind):
    # A grey profile that ships with Pillow's tests (CC0, sGrey-v2-nano) and a linear one would look alike if it were ignored.
    profile = (fetch.pillow_pictures().parent / "icc" / "sGrey-v2-nano.icc").read_bytes()
    file = tmp_path / f"grey.{kind}"
    photograph().convert("L").save(file, format=kind, icc_profile=profile)
    assert probe.facts(file)["note"] is None
    assert delta_e(probe.upright(file), upright_by_littlecms(file)).mean() < 1
