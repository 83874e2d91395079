"""How cost grows: pixels of a photo, sheets of a packet, landmarks of a plan. Each kind of work is timed at growing sizes and
compared with a straight line through the two largest times; `bench/growth.svg` shows them.

Needs the release build with examples, and in .venv numpy, pillow and matplotlib.
"""

import json
import os
import statistics
import subprocess
import tempfile
import time
from pathlib import Path

import matplotlib
import numpy as np
from PIL import Image

matplotlib.use("svg")
from matplotlib import pyplot  # noqa: E402 (the kind of output is chosen first)

RUNS = int(os.environ.get("RUNS", "5"))
TARGET = Path(os.environ.get("MAHLSTICK_TARGET", "target")) / "release"
MAHLSTICK, PROBE = TARGET / "mahlstick", TARGET / "examples/photo_probe"
Image.MAX_IMAGE_PIXELS = None


def median_ms(command):
    """The median of several runs, in ms; the first is not counted."""
    times = []
    for _ in range(RUNS + 1):
        begun = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True)
        times.append(1000 * (time.perf_counter() - begun))
    return statistics.median(times[1:])


def photos(folder):
    """Megapixels and the time of a preview."""
    cast = Image.open("demo/harbour-pilot.jpg").convert("RGB")
    random = np.random.default_rng(1)
    for megapixels in (1, 2, 5, 10, 20, 50, 100, 200):
        width = round((megapixels * 1e6 * 3 / 4) ** 0.5)
        picture = cast.resize((width, round(width * 4 / 3)), Image.Resampling.BILINEAR)
        # Grain, in stripes so that a large picture fits in memory: without it a JPEG unpacks unlike any photo.
        for top in range(0, picture.height, 1000):
            stripe = np.asarray(picture.crop((0, top, width, min(top + 1000, picture.height))), np.int16)
            grain = random.integers(-6, 7, stripe.shape, np.int16)
            picture.paste(Image.fromarray(np.clip(stripe + grain, 0, 255).astype(np.uint8)), (0, top))
        file = folder / f"{megapixels}.jpg"
        picture.save(file, quality=90)
        yield megapixels, median_ms([PROBE, file, "--preview", "2048", folder / "out.ppm"])


def sheets(folder):
    """Sheets of a packet and the time of making it: reference sheets of ever larger canvases."""
    for inches in (8, 16, 24, 36, 48, 72, 96):
        command = [MAHLSTICK, "packet", "--photo", "demo/harbour-pilot.jpg", "--canvas", f"{inches}x{inches}in",
                   "--place", "fill", "--only", "reference", "-o", folder / "packet.pdf"]
        took = median_ms(command)
        pages = int(subprocess.run(["qpdf", "--show-npages", folder / "packet.pdf"], check=True, capture_output=True, text=True).stdout)
        yield pages, took


def landmarks(folder):
    """Landmarks of a painting and the time of plotting them all."""
    painting, plain = folder / "busy.mahlstick", folder / "plain"
    subprocess.run([MAHLSTICK, "new", painting, "--photo", "demo/harbour-pilot.jpg", "--canvas", "24x36in"], check=True, capture_output=True)
    subprocess.run([MAHLSTICK, "export", painting, plain], check=True, capture_output=True)
    document = json.loads((plain / "plan.json").read_text())
    for count in (10, 50, 200, 500, 1000, 2000):
        marks = [{"name": f"spot {number}", "at": {"x": 100 + 1.3 * number, "y": 100 + 1.9 * number}} for number in range(count)]
        document["plan"]["landmarks"] = marks
        (plain / "plan.json").write_text(json.dumps(document))
        busy = folder / f"busy-{count}.mahlstick"
        subprocess.run([MAHLSTICK, "import", plain, busy], check=True, capture_output=True)
        yield count, median_ms([MAHLSTICK, "plot", busy, "--json"])


def main():
    figure, axes = pyplot.subplots(1, 3, figsize=(12, 4), layout="constrained")
    works = [(photos, "megapixels", "preview"), (sheets, "sheets", "packet"), (landmarks, "landmarks", "plot")]
    with tempfile.TemporaryDirectory() as name:
        for axis, (work, unit, what) in zip(axes, works):
            sizes, times = zip(*work(Path(name)))
            # What it costs at all, and what each unit costs, by the smallest and the middle size; linear growth ends on this line.
            middle = len(sizes) // 2
            slope = (times[middle] - times[0]) / (sizes[middle] - sizes[0])
            expected = times[0] + slope * (sizes[-1] - sizes[0])
            print(f"{what}: " + ", ".join(f"{size} {unit} {took:.0f} ms" for size, took in zip(sizes, times)))
            print(f"{what}, largest against the line through smallest and middle: {times[-1] / expected:.2f}")
            axis.plot(sizes, times, "o-", color="black")
            axis.plot([sizes[0], sizes[-1]], [times[0], expected], "--", color="grey")
            axis.set(xlabel=unit, ylabel=f"{what}, ms", xlim=(0, None), ylim=(0, None))
    figure.savefig("bench/growth.svg", metadata={"Date": None})


main()
