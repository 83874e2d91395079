"""A painting seen in a mirror is refused, also where its grid is still seen and landmarks are set on it. The mirroring is Pillow's."""

import subprocess

import pytest
from PIL import Image, ImageDraw, ImageOps

from command import REPOSITORY

CAST = REPOSITORY / "demo/harbour-pilot.jpg"
WIDTH, HEIGHT, LEFT, TOP = 1500, 2000, 200, 200
CORNERS = f"{LEFT},{TOP},{LEFT + WIDTH},{TOP},{LEFT + WIDTH},{TOP + HEIGHT},{LEFT},{TOP + HEIGHT}"
# Where these lie in the upright photo of the cast, by the way: any three places on the face would do.
PLACES = {"brow": (0.56, 0.41), "eye": (0.42, 0.46), "mouth": (0.5, 0.65)}


def painting_photo(mirrored: bool) -> Image.Image:
    """The cast as a painting of 30 x 40 cm with its grid over it, before a brown wall."""
    with Image.open(CAST) as cast:
        canvas = cast.convert("RGB").resize((WIDTH, HEIGHT))
    canvas = ImageOps.mirror(canvas) if mirrored else canvas
    draw = ImageDraw.Draw(canvas)
    for part in range(1, 4):
        x, y = WIDTH * part / 4, HEIGHT * part / 4
        for aside, ink, width in ((0, (20, 20, 20), 4), (3, (235, 235, 235), 2)):
            draw.line([x + aside, 0, x + aside, HEIGHT], fill=ink, width=width)
            draw.line([0, y + aside, WIDTH, y + aside], fill=ink, width=width)
    photo = Image.new("RGB", (WIDTH + 2 * LEFT, HEIGHT + 2 * TOP), (120, 90, 60))
    photo.paste(canvas, (LEFT, TOP))
    return photo


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_painting_in_the_mirror_is_refused_though_its_grid_is_seen(mahlstick, target, tmp_path, mirrored):
    painting, photo = tmp_path / "cast.mahlstick", tmp_path / "photo.jpg"
    mahlstick("new", painting, "--canvas", "30x40cm", "--photo", CAST, "--place", "fill")
    painting_photo(mirrored).save(photo, quality=92)
    with Image.open(CAST) as cast:
        size = cast.size
    pairs = []
    for name, (across, down) in PLACES.items():
        seen = 1 - across if mirrored else across
        planned = f"{size[0] * across:.0f},{size[1] * down:.0f}"
        pairs.append((name, planned, f"{LEFT + WIDTH * seen:.0f},{TOP + HEIGHT * down:.0f}"))
    landmarks = ";".join(f"{name}:{planned}={painted}" for name, planned, painted in pairs)
    command = [target / "release/mahlstick", "check", painting, "--photo", photo, "--corners", CORNERS, "--landmarks", landmarks]
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True)
    if mirrored:
        assert done.returncode == 1 and "mirrored" in done.stderr, done
    else:
        assert done.returncode == 0 and "in its place" in done.stdout, done
