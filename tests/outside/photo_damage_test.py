"""Damaged, lying and unsupported real files: a clear error within a second and 200 MiB, never a crash."""

import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

import fetch

# The processor's seconds, since the machine may be busy with something else.
SECONDS, MIB = 1.0, 200

# A real file of each kind, cut at these parts of its length.
WHOLE = ["flower.jpg", "hopper.png", "hopper.webp", "hopper.tif", "hopper_lzw.tif", "pil_sample_cmyk.jpg"]
PARTS = [0.02, 0.3, 0.7, 0.98, 0.999]


def all_pictures() -> list[Path]:
    return sorted(file for file in fetch.pillow_pictures().rglob("*") if file.is_file())


def refused(probed) -> str:
    """The message of a file that must be refused, within bounds."""
    assert probed.status == 1, probed
    assert probed.cpu_seconds < SECONDS and probed.peak_mib < MIB, probed
    assert probed.message.count("\n") == 0 and probed.message.endswith("."), probed.message
    return probed.message


@pytest.mark.parametrize("file", all_pictures(), ids=lambda file: file.name)
def test_every_file_is_shown_or_refused_within_bounds(probe, file, tmp_path):
    probed = probe.run(file, "--upright", tmp_path / "out.ppm", "--preview", 64, tmp_path / "small.ppm")
    assert probed.status in (0, 1), probed
    if probed.status:
        refused(probed)
    else:
        with Image.open(tmp_path / "out.ppm") as ours:
            assert ours.size == (probed.facts["width"], probed.facts["height"])


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("truncated_jpeg.jpg", "cut short"),
        ("ultrahdr.jpg", "cut short"),
        # Its EXIF is bad, and so is its picture: libjpeg, too, reports corrupt data, and shows stripes.
        ("hopper_bad_exif.jpg", "damaged"),
        ("truncated_image.png", "cut short"),
        ("decompression_bomb.gif", "GIF"),
        ("decompression_bomb.ico", "icon"),
        ("decompression_bomb_extents.gif", "GIF"),
        ("hopper.psd", "layered document"),
        ("hopper.bmp", "BMP"),
        ("balloon.jpf", "JPEG 2000"),
        ("duplicate_xref_entry.pdf", "PDF"),
        ("hopper.Lab.tif", "L*a*b*"),
        ("avif/hopper.avif", "AVIF"),
    ],
)
def test_the_message_says_what_it_is(probe, tmp_path, name, word):
    message = refused(probe.run(fetch.pillow_pictures() / name, "--upright", tmp_path / "out.ppm"))
    assert message.startswith(Path(name).name) and word in message, message


# A TIFF may end with bytes that belong to nothing, so it is not cut there.
CUTS = [(name, part) for name in WHOLE for part in PARTS if part < 0.99 or not name.endswith(".tif")]


@pytest.mark.parametrize(("name", "part"), CUTS)
def test_a_file_cut_anywhere_is_refused(probe, tmp_path, name, part):
    whole = (fetch.pillow_pictures() / name).read_bytes()
    cut = tmp_path / name
    cut.write_bytes(whole[: int(len(whole) * part)])
    refused(probe.run(cut, "--upright", tmp_path / "out.ppm"))


@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("part", [0.3, 0.7, 0.95])
def test_a_jpeg_with_its_end_stitched_on_after_the_cut_is_refused(probe, tmp_path, part, progressive):
    file = tmp_path / "sitter.jpg"
    with Image.open(fetch.scikit_learn_pictures() / "china.jpg") as picture:
        picture.save(file, quality=90, progressive=progressive)
    whole = file.read_bytes()
    file.write_bytes(whole[: int(len(whole) * part)] + b"\xff\xd9")
    refused(probe.run(file, "--upright", tmp_path / "out.ppm"))
    refused(probe.run(file, "--embeddable", tmp_path / "out.jpg"))


def test_an_empty_file_is_called_empty(probe):
    assert "empty" in refused(probe.run(fetch.piexif_pictures() / "notjpeg.jpg"))


def test_a_wrong_name_does_not_matter(probe, tmp_path):
    file = tmp_path / "sitter.jpg"
    file.write_bytes((fetch.pillow_pictures() / "hopper.png").read_bytes())
    assert probe.facts(file)["format"] == "PNG"


@pytest.mark.parametrize("size", [(65_500, 65_500), (14_000, 14_000)])
@pytest.mark.parametrize("kind", ["png", "tiff", "jpeg"])
def test_a_blank_that_would_unpack_without_end_is_refused(probe, tmp_path, kind, size):
    """A bomb within or beyond the limit on pixels, made by rewriting the header of a small picture."""
    file = tmp_path / f"bomb.{kind}"
    small = Image.new("RGB", (64, 64))
    small.save(file, format=kind)
    data = bytearray(file.read_bytes())
    _claim(data, kind, size)
    file.write_bytes(data)
    refused(probe.run(file, "--upright", tmp_path / "out.ppm"))


def test_a_real_blank_of_huge_size_is_refused(probe, tmp_path):
    file = tmp_path / "bomb.png"
    Image.new("RGB", (14_000, 14_000), "white").save(file, compress_level=9)
    assert "too little" in refused(probe.run(file, "--upright", tmp_path / "out.ppm"))


def _claim(data: bytearray, kind: str, size: tuple[int, int]) -> None:
    """Overwrites the size in the header."""
    width, height = size
    if kind == "png":
        data[16:24] = struct.pack(">II", width, height)
        data[29:33] = struct.pack(">I", zlib.crc32(data[12:29]))
    elif kind == "jpeg":
        frame = data.index(b"\xff\xc0")
        data[frame + 5 : frame + 9] = struct.pack(">HH", height, width)
    else:
        # Pillow writes little-endian, and each of these tags as one LONG or SHORT.
        for tag, value in ((256, width), (257, height), (278, height)):
            place = data.index(struct.pack("<H", tag))
            data[place : place + 12] = struct.pack("<HHII", tag, 4, 1, value)
