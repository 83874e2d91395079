"""Camera facts against Pillow's reading of the same EXIF tags (CIPA DC-008) in camera files."""

from pathlib import Path

import pytest
from PIL import Image

import fetch

EXIF_IFD, FOCAL_LENGTH, FOCAL_35MM, TAKEN = 0x8769, 0x920A, 0xA405, 0x9003


def camera_files() -> list[Path]:
    files = [*fetch.piexif_pictures().glob("*.jpg"), *fetch.exif_parser_pictures().glob("*.jpg")]
    return sorted(file for file in files if file.stat().st_size)


@pytest.mark.parametrize("file", camera_files(), ids=lambda file: file.name)
def test_the_facts_are_those_in_the_file(probe, file):
    facts = probe.facts(file)
    with Image.open(file) as picture:
        exif = picture.getexif().get_ifd(EXIF_IFD)
        size = picture.size
        turned = picture.getexif().get(0x0112, 1) >= 5
    assert (facts["width"], facts["height"]) == (size[::-1] if turned else size)
    focal = float(exif.get(FOCAL_LENGTH, 0)) or None
    assert facts["focal_length_mm"] == (pytest.approx(focal) if focal else None)
    equivalent = exif.get(FOCAL_35MM)
    assert facts["focal_length_35mm"] == (equivalent if equivalent and 8 <= equivalent <= 1200 else None)
    taken = exif.get(TAKEN)
    assert facts["taken"] == (taken.replace(":", "-", 2) if taken else None)


def test_some_of_the_files_do_have_facts(probe):
    found = [probe.facts(file) for file in camera_files()]
    for fact in ("focal_length_mm", "focal_length_35mm", "taken"):
        assert sum(facts[fact] is not None for facts in found) >= 2, fact


@pytest.mark.parametrize("file", camera_files(), ids=lambda file: file.name)
def test_nothing_but_the_picture_is_in_the_embedded_copy(probe, file, tmp_path):
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(probe.embeddable(file))
    assert b"Exif" not in copy.read_bytes() and b"ns.adobe.com" not in copy.read_bytes()
    with Image.open(copy) as picture, Image.open(file) as original:
        assert not picture.getexif()
        assert set(picture.info) <= {"jfif", "jfif_version", "jfif_density", "jfif_unit", "adobe", "adobe_transform", "icc_profile"}
        assert picture.tobytes() == original.tobytes()
