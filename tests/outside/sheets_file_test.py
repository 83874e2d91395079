"""The packet as a file: sound, archivable, readable by machines, small, and silent about the client."""

import json
import re
import subprocess

import numpy as np
import page as page_validation
import pytest
from PIL import Image, ImageCms, ImageOps
from skimage import data

import raster
from raster import PAPERS_MM, dots

PLAN = ["--canvas", "12x16in", "--place", "fill", "--detail", "2in,2in,5x6in"]
TITLE = '#import "x" <b> & (café) \\ $1/2$'


def said(*command):
    done = subprocess.run([*map(str, command)], check=True, capture_output=True, text=True, errors="replace")
    return done.stdout


@pytest.fixture(scope="session")
def photo(tmp_path_factory):
    """A real photo (NASA, public domain, from scikit-image) as a camera held sideways would have written it, with
    everything in its metadata that nobody else should know."""
    path = tmp_path_factory.mktemp("photo") / "astronaut.jpg"
    private = Image.Exif()
    private[0x0112] = 6  # Orientation: to be turned 90 degrees clockwise (CIPA DC-008)
    private[0x013B] = "PRIVATE NAME"
    private.get_ifd(0x8825).update({1: "N", 2: (51.0, 28.0, 38.0), 3: "W", 4: (0.0, 0.0, 5.0)})
    Image.fromarray(data.astronaut()).rotate(90).save(path, quality=90, exif=private, comment=b"PRIVATE REMARK")
    return path


@pytest.fixture(scope="session")
def packet(mahlstick, photo, tmp_path_factory):
    path = tmp_path_factory.mktemp("packet") / "packet.pdf"
    mahlstick("packet", "--photo", photo, *PLAN, "--title", TITLE, "-o", path)
    return path


def coded_picture(jpeg):
    """The segments of a JPEG that make its picture, without application segments and comments (ITU-T T.81, B.1)."""
    at, kept = 2, b""
    while jpeg[at + 1] != 0xDA:
        length = int.from_bytes(jpeg[at + 2 : at + 4], "big")
        if not 0xE0 <= jpeg[at + 1] <= 0xEF and jpeg[at + 1] != 0xFE:
            kept += jpeg[at : at + 2 + length]
        at += 2 + length
    return kept + jpeg[at:]


def test_qpdf_finds_the_file_sound(packet):
    assert "No syntax or stream encoding errors found" in said("qpdf", "--check", packet)


@pytest.mark.parametrize("profile", ["2b", "ua1"])
def test_the_file_keeps_to_pdf_a_and_pdf_ua(packet, profile):
    """ISO 19005-2 level B and ISO 14289-1, as the validator page-validation understands them."""
    assert page_validation.is_pdf_compliant(str(packet), profile=profile)


def test_every_font_is_embedded(packet):
    fonts = said("pdffonts", packet).splitlines()[2:]
    assert fonts
    for font in fonts:
        embedded, subset = font.split()[-5:-3]
        assert (embedded, subset) == ("yes", "yes"), font


def test_the_photo_is_in_the_file_once_and_untouched(packet, photo, tmp_path):
    listed = said("pdfimages", "-list", packet).splitlines()[2:]
    assert len({line.split()[10] for line in listed}) == 1
    assert len(listed) > 5
    said("pdfimages", "-j", "-f", 1, "-l", 1, packet, tmp_path / "image")
    (embedded,) = tmp_path.glob("image*.jpg")
    assert coded_picture(embedded.read_bytes()) == coded_picture(photo.read_bytes())


def test_the_file_is_hardly_larger_than_the_photo(packet, photo):
    assert packet.stat().st_size <= photo.stat().st_size * 1.1 + 300_000


def test_nothing_private_reaches_the_file(packet, photo, tmp_path):
    plain = tmp_path / "plain.pdf"
    said("qpdf", "--qdf", "--object-streams=disable", packet, plain)
    for private in (b"Exif\x00", b"PRIVATE", photo.name.encode(), str(photo.parent).encode()):
        assert private in photo.read_bytes() + str(photo).encode() + b"Exif\x00"
        assert private not in plain.read_bytes()
        assert private not in packet.read_bytes()


def test_the_viewer_is_asked_for_no_scaling_and_shows_the_title(packet):
    catalog = said("qpdf", "--qdf", "--object-streams=disable", packet, "-")
    assert re.search(r"/ViewerPreferences <<[^>]*/PrintScaling /None", catalog)
    assert re.search(r"/ViewerPreferences <<[^>]*/DisplayDocTitle true", catalog)
    assert "/Lang (en)" in catalog


def test_title_bookmarks_and_page_labels_are_those_of_the_sheets(packet):
    assert f"Title:           {TITLE}" in said("pdfinfo", packet)
    structure = json.loads(said("qpdf", "--json", "--json-key=pages", "--json-key=outlines", packet))
    below = {
        bookmark["title"]: [kid["title"].split(",")[0] for kid in bookmark["kids"]] for bookmark in structure["outlines"]
    }
    assert list(below) == [
        "Plan sheet",
        "Mark-up sheet",
        "Edge strips",
        "Reference sheets at true size",
        "Detail sheets at true size",
        "Scale bars",
    ]
    labels = [page["label"]["/P"].removeprefix("u:") for page in structure["pages"]]
    assert labels[0] == "Plan"
    assert labels[-1] == "Scale bars"
    assert below["Reference sheets at true size"] == [label for label in labels if re.fullmatch(r"[A-Z]\d", label)]


def test_a_title_is_printed_as_it_was_written(packet):
    for text in raster.texts(packet):
        assert TITLE in text or "Scale bars" in text


@pytest.mark.parametrize("paper", PAPERS_MM)
def test_pages_have_the_paper_s_size_and_keep_its_margins_white(mahlstick, photo, tmp_path, paper):
    """ISO 216 and ANSI/ASME Y14.1 sizes."""
    path = tmp_path / "packet.pdf"
    mahlstick("packet", "--photo", photo, *PLAN, "--paper", paper, "-o", path)
    boxes = re.findall(r"MediaBox: +0\.00 +0\.00 +([\d.]+) +([\d.]+)", said("pdfinfo", "-box", "-l", 999, path))
    assert boxes
    for box in boxes:
        assert sorted(float(side) * 25.4 / 72 for side in box) == pytest.approx(PAPERS_MM[paper], abs=0.01)
    for darkness in raster.pictures(path, dpi=150):
        margin = int((raster.MARGIN - 0.1) * 150 / 25.4)
        assert darkness[margin:-margin, margin:-margin].max() > 0.5
        inside = np.zeros_like(darkness, dtype=bool)
        inside[margin:-margin, margin:-margin] = True
        assert darkness[~inside].max() == 0.0


def test_the_same_plan_gives_the_same_file(mahlstick, photo, tmp_path):
    paths = [tmp_path / name / "packet.pdf" for name in ("one", "two")]
    for path in paths:
        path.parent.mkdir()
        mahlstick("packet", "--photo", photo, *PLAN, "--title", "Same", "-o", path)
    assert paths[0].read_bytes() == paths[1].read_bytes()


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("mode", ["RGB", "L"])
def test_a_photo_stands_upright_however_the_camera_was_held(mahlstick, tmp_path, orientation, mode):
    """Against Pillow's reading of the orientation (CIPA DC-008, tag 0x0112)."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    picture, sheet = tmp_path / "photo.jpg", tmp_path / "sheet.pdf"
    Image.fromarray(data.astronaut()[:400]).convert(mode).save(picture, quality=95, exif=exif)
    upright = ImageOps.exif_transpose(Image.open(picture)).convert("RGB")
    canvas = "4x{}in".format(4 * upright.height / upright.width)
    mahlstick("packet", "--photo", picture, "--canvas", canvas, "--only", "reference", "--no-lines", "-o", sheet)
    (seen,) = raster.pictures(sheet, dpi=300, grey=False)
    # What lies right of the upright scale bar and above the band with the level one is the picture.
    beside, above = int(21 * 300 / 25.4), int(20 * 300 / 25.4)
    coloured = np.argwhere(seen[:-above, beside:].min(axis=2) < 250)
    (top, left), (bottom, right) = coloured.min(axis=0) + (0, beside), coloured.max(axis=0) + (1, beside + 1)
    expected = np.asarray(upright.resize((right - left, bottom - top), Image.Resampling.BICUBIC), dtype=float)
    # Poppler enlarges by repeating dots, Pillow smoothly; a wrong turn differs by more than fifty.
    assert abs(seen[top:bottom, left:right] - expected).mean() < 8.0


def test_a_colour_profile_goes_with_its_photo(mahlstick, tmp_path):
    """The profile of the file, made by LittleCMS, is the one that the PDF names for the picture.

    PDF 1.7 holds profiles up to version 4.2 (ISO 32000-1, 8.6.5.5), so LittleCMS's is given out as such.
    """
    picture, sheet = tmp_path / "photo.jpg", tmp_path / "sheet.pdf"
    profile = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    profile[8:10] = 4, 0x20
    profile = bytes(profile)
    Image.fromarray(data.astronaut()).save(picture, quality=92, icc_profile=profile)
    mahlstick("packet", "--photo", picture, "--canvas", "4x4in", "--only", "reference", "-o", sheet)
    assert page_validation.is_pdf_compliant(str(sheet), profile="2b")
    number = said("pdfimages", "-list", sheet).splitlines()[2].split()[10]
    space = re.search(r"/ColorSpace (\d+) 0 R", said("qpdf", f"--show-object={number}", sheet))[1]
    stream = re.search(r"/ICCBased (\d+) 0 R", said("qpdf", f"--show-object={space}", sheet))[1]
    command = ["qpdf", f"--show-object={stream}", "--filtered-stream-data", sheet]
    assert subprocess.run(command, check=True, capture_output=True).stdout.removesuffix(b"\n") == profile
