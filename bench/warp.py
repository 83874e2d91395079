"""Squaring up a 12-megapixel photo to 300 pixels an inch of a 12 x 16 in canvas, bilinear and bicubic: ours against OpenCV's
`warpPerspective` with as many threads, by turns in one run, each on pixels that are already in memory.

Needs the release build with examples (`cargo build --release -p photo --examples`) and, in .venv, opencv-python-headless.
"""

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

import cv2
import numpy as np

RUNS = int(os.environ.get("RUNS", "15"))
TARGET = Path(os.environ.get("MAHLSTICK_TARGET", "target"))
PROGRAM = TARGET / "release/examples/warp_bench"
PHOTO = "demo/harbour-pilot.jpg"
WIDTH, HEIGHT = 3600, 4800

picture = cv2.imread(PHOTO)
height, width = picture.shape[:2]
# A print photographed at a slant: its corners in the photo.
corners = np.float32([[0.06, 0.05], [0.93, 0.08], [0.97, 0.95], [0.03, 0.92]]) * [width, height]
to_photo = cv2.getPerspectiveTransform(np.float32([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]]), corners.astype(np.float32))

ours_process = subprocess.Popen(
    [PROGRAM, PHOTO, str(WIDTH), str(HEIGHT), *(repr(float(number)) for number in to_photo.ravel())],
    stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
)


def ours(kind: str) -> float:
    """Milliseconds that our program says one warp took."""
    ours_process.stdin.write(kind + "\n")
    ours_process.stdin.flush()
    return float(ours_process.stdout.readline())


def theirs(kind: str) -> float:
    """Milliseconds of OpenCV's."""
    flag = cv2.INTER_LINEAR if kind == "bilinear" else cv2.INTER_CUBIC
    start = time.perf_counter()
    cv2.warpPerspective(picture, to_photo, (WIDTH, HEIGHT), flags=flag | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE)
    return 1000 * (time.perf_counter() - start)


print(f"{cv2.getNumThreads()} threads, {RUNS} runs by turns, OpenCV {cv2.__version__}")
for kind in sys.argv[1:] or ["bilinear", "bicubic"]:
    ours(kind), theirs(kind)
    pairs = [(ours(kind), theirs(kind)) for _ in range(RUNS)]
    for what, pick in (("min", min), ("median", statistics.median), ("max", max)):
        mine, other = (pick(column) for column in zip(*pairs))
        print(f"{kind}, {what}: ours {mine:.0f} ms, OpenCV {other:.0f} ms, ours / OpenCV {mine / other:.2f}")
