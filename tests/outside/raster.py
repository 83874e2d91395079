"""Reads sheets back from pictures of them: where lines run and how long bars are, in millimetres on the paper.

Poppler draws each page at 600 dots to the inch in greys, so a line's middle is found to a few hundredths of a dot from
the darkness of the dots it touches.
"""

import re
import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

Image.MAX_IMAGE_PIXELS = None

DPI = 600
MM_PER_DOT = 25.4 / DPI

PAPERS_MM = {
    "letter": (215.9, 279.4),  # ANSI/ASME Y14.1, size A
    "legal": (215.9, 355.6),  # 8 1/2 x 14 in, North American office practice
    "tabloid": (279.4, 431.8),  # ANSI/ASME Y14.1, size B
    "a4": (210.0, 297.0),  # ISO 216
    "a3": (297.0, 420.0),  # ISO 216
}

MARGIN = 6.35
# What stands around the picture: the upright bar and its figures end this far from the left margin, the band with the
# level bar begins this far above the lower margin.
LEFT_OF_PICTURE = 12.0
BAND = 13.0


def pictures(pdf, dpi=DPI, grey=True):
    """Every page as an array: darkness from 0 (paper) to 1 (black), or colours from 0 to 255."""
    with tempfile.TemporaryDirectory() as folder:
        command = ["pdftoppm", "-r", str(dpi), *(["-gray"] if grey else []), pdf, f"{folder}/page"]
        subprocess.run(command, check=True, capture_output=True)
        for path in sorted(Path(folder).iterdir()):
            dots = np.asarray(Image.open(path), dtype=np.float32)
            yield 1.0 - dots / 255.0 if grey else dots


def texts(pdf):
    """The words of every page."""
    done = subprocess.run(["pdftotext", "-layout", pdf, "-"], check=True, capture_output=True, text=True)
    return done.stdout.split("\f")[:-1]


def middles(profile, least):
    """Where the strokes in a profile of darkness lie, in mm: the middles of its dark stretches that reach `least`."""
    dark = np.concatenate([[0], (profile > 0.08).astype(int), [0]])
    starts, ends = np.flatnonzero(np.diff(dark) == 1), np.flatnonzero(np.diff(dark) == -1)
    found = []
    for start, end in zip(starts, ends):
        stretch = profile[start:end]
        if stretch.max() >= least:
            found.append((start + float((stretch * (np.arange(end - start) + 0.5)).sum() / stretch.sum())) * MM_PER_DOT)
    return found


def dots(mm):
    return round(mm / MM_PER_DOT)


@dataclass
class Sheet:
    """A sheet at true size: its name, its solid lines, and its scale bars."""

    row: int
    column: int
    upright: list  # where upright lines run
    level: list  # where level lines run
    bars: dict  # (direction, unit): length
    is_landscape: bool


def true_size_sheet(darkness, text):
    """Reads a sheet that shows the grid alone."""
    row_letter, column = re.search(r": (?:\w+ )?([A-Z])(\d+), \d+ of \d+", text).groups()
    height, width = darkness.shape
    left, bottom = dots(MARGIN + LEFT_OF_PICTURE), height - dots(MARGIN + BAND)
    picture = darkness[:bottom, left:]
    # A line that belongs to the picture runs from edge to edge of this band; a seam is broken by its dashes.
    band = picture[dots(25) : dots(75)]
    upright = [x + left * MM_PER_DOT for x in middles(band.mean(axis=0), least=0.9)]
    between = darkness[:bottom, dots(upright[0] + 1) : dots(upright[-1] - 1)]
    level = middles(between.mean(axis=1), least=0.9)
    return Sheet(
        row=ord(row_letter) - ord("A") + 1,
        column=int(column),
        upright=upright,
        level=level,
        bars=scale_bars(darkness),
        is_landscape=width > height,
    )


def scale_bars(darkness):
    """Lengths of the bars between their long end ticks, which alone reach 2.2 mm from the line."""
    height = darkness.shape[0]
    lengths = {}
    for direction, strip in (
        ("level", darkness[height - dots(MARGIN + BAND) : height - dots(MARGIN)]),
        ("upright", darkness[: height - dots(MARGIN + BAND), dots(MARGIN) : dots(MARGIN + LEFT_OF_PICTURE)].T),
    ):
        line = int(strip.sum(axis=1).argmax())
        dark = np.flatnonzero(strip[line] > 0.5)
        # The bar is the longest stretch without a gap; words stand beside it.
        bar = max(np.split(dark, np.flatnonzero(np.diff(dark) > 1) + 1), key=len)
        strip = strip[:, bar[0] - dots(0.5) : bar[-1] + dots(0.5)]
        for unit, away in (("mm", -2.2), ("in", 2.2)):
            across = strip[line + dots(away) - 2 : line + dots(away) + 3].mean(axis=0)
            ticks = middles(across, least=0.9)
            assert len(ticks) == 2, f"the {direction} bar's {unit} side has {len(ticks)} long ticks"
            lengths[direction, unit] = ticks[1] - ticks[0]
    return lengths
