"""Check of a 12-megapixel photo of a gridded canvas, from JPEG to the offset of every line: ours against the same steps written with
OpenCV (outline by Canny and contours, edges to sub-pixel, radial distortion by straightness, homography, squared-up strips,
lines by their profiles), by turns in one run.

Ours is timed as a whole process; OpenCV's from after its import, which takes longer than all of ours starting up. Needs the
release build with examples and, in .venv, opencv-python-headless and numpy.
"""

import os
import statistics
import subprocess
import time
from pathlib import Path

import cv2
import numpy as np

RUNS = int(os.environ.get("RUNS", "8"))
RELEASE = Path(os.environ.get("MAHLSTICK_TARGET", "target")) / "release"
PROGRAM = RELEASE / "mahlstick"
PHOTO = ".cache/bench/canvas.jpg"
WIDTH, HEIGHT = 304.8, 304.8
FINE = 10.0  # pixels to a millimetre


def outline(grey):
    """Four corners, from a picture reduced to 800 pixels, in order from the top left."""
    scale = 800 / max(grey.shape)
    small = cv2.GaussianBlur(cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA), (5, 5), 0)
    edges = cv2.dilate(cv2.Canny(small, 40, 120), np.ones((3, 3), np.uint8))
    contours, _ = cv2.findContours(edges, cv2.RETR_LIST, cv2.CHAIN_APPROX_SIMPLE)
    fours = [cv2.approxPolyDP(contour, 0.02 * cv2.arcLength(contour, True), True) for contour in contours]
    fours = [four for four in fours if len(four) == 4 and cv2.isContourConvex(four)]
    if not fours:
        raise SystemExit("OpenCV's outline was not found; the bench needs another photo.")
    corners = max(fours, key=cv2.contourArea).reshape(4, 2) / scale
    by_sum, by_difference = corners.sum(1), np.diff(corners, axis=1).ravel()
    return np.float32([corners[by_sum.argmin()], corners[by_difference.argmin()], corners[by_sum.argmax()], corners[by_difference.argmax()]])


def edge_points(grey, start, end):
    """Points of an edge to sub-pixel: where the profile across it is steepest."""
    along = (end - start) / np.linalg.norm(end - start)
    across = np.float32([-along[1], along[0]])
    places = start + np.linspace(0.03, 0.97, 400, dtype=np.float32)[:, None] * (end - start)
    offsets = np.arange(-20, 21, dtype=np.float32)
    grid = places[:, None] + offsets[None, :, None] * across
    profiles = cv2.remap(grey, grid[..., 0], grid[..., 1], cv2.INTER_LINEAR).astype(np.float32)
    steepness = np.abs(np.gradient(cv2.GaussianBlur(profiles, (5, 1), 0), axis=1))
    best = steepness[:, 2:-2].argmax(1) + 2
    rows = np.arange(len(best))
    left, middle, right = steepness[rows, best - 1], steepness[rows, best], steepness[rows, best + 1]
    finer = best + 0.5 * (left - right) / np.minimum(left - 2 * middle + right, -1e-6)
    return places + (finer - 20)[:, None] * across


def straightness(edges, camera, k1):
    """How far undistorted edges are from straight."""
    worst = 0.0
    for points in edges:
        flat = cv2.undistortPoints(points.reshape(-1, 1, 2), camera, np.float64([k1, 0, 0, 0]), P=camera).reshape(-1, 2)
        vx, vy, x, y = cv2.fitLine(flat, cv2.DIST_HUBER, 0, 0.01, 0.01).ravel()
        worst += float(np.abs((flat[:, 0] - x) * vy - (flat[:, 1] - y) * vx).mean())
    return worst


def check():
    """The offset of every planned line, in mm, along its length."""
    grey = cv2.imread(PHOTO, cv2.IMREAD_GRAYSCALE)
    corners = outline(grey)
    edges = [edge_points(grey, corners[at], corners[(at + 1) % 4]) for at in range(4)]
    height, width = grey.shape
    focal = float(max(grey.shape))
    camera = np.float64([[focal, 0, width / 2], [0, focal, height / 2], [0, 0, 1]])
    best, step = 0.0, 0.08
    while step > 1e-4:
        best = min((best - step, best, best + step), key=lambda k1: straightness(edges, camera, k1))
        step /= 2
    lens = np.float64([best, 0, 0, 0])
    lines = []
    for points in edges:
        flat = cv2.undistortPoints(points.reshape(-1, 1, 2), camera, lens, P=camera).reshape(-1, 2)
        vx, vy, x, y = cv2.fitLine(flat, cv2.DIST_HUBER, 0, 0.01, 0.01).ravel()
        lines.append(np.cross([x, y, 1], [x + vx, y + vy, 1]))
    meets = [np.cross(lines[at - 1], lines[at]) for at in range(4)]
    flat_corners = np.float32([meet[:2] / meet[2] for meet in meets])
    canvas = np.float32([[0, 0], [WIDTH, 0], [WIDTH, HEIGHT], [0, HEIGHT]])
    to_photo, _ = cv2.findHomography(canvas, flat_corners)
    offsets = {}
    for upright in (True, False):
        side, length = (WIDTH, HEIGHT) if upright else (HEIGHT, WIDTH)
        for part in (1, 2, 3):
            planned = side * part / 4
            run = np.arange(0, length, 1 / FINE, np.float32)
            off = np.arange(-6, 6, 1 / FINE, np.float32) + planned
            a, b = np.meshgrid(off, run)
            grid = np.stack([a, b] if upright else [b, a], -1).reshape(-1, 1, 2).astype(np.float32)
            seen = cv2.perspectiveTransform(grid, to_photo).reshape(-1, 2)
            rays = np.column_stack([(seen[:, 0] - width / 2) / focal, (seen[:, 1] - height / 2) / focal, np.ones(len(seen))])
            bent, _ = cv2.projectPoints(rays, np.zeros(3), np.zeros(3), camera, lens)
            bent = bent.reshape(*a.shape, 2).astype(np.float32)
            strip = cv2.remap(grey, bent[..., 0], bent[..., 1], cv2.INTER_LINEAR).astype(np.float32)
            dark = cv2.blur(strip, (31, 31)) - strip
            sections = np.array_split(cv2.GaussianBlur(dark, (5, 1), 0), 40)
            peaks = [section.mean(0).argmax() / FINE - 6 for section in sections]
            offsets[upright, part] = statistics.median(peaks)
    return offsets


def ours():
    begun = time.perf_counter()
    command = [PROGRAM, "check", "--canvas", "12x12in", "--divide", "4", "--photo", PHOTO, "--json"]
    ran = subprocess.run(command, capture_output=True)
    if ran.returncode:
        raise SystemExit(ran.stderr.decode())
    return 1000 * (time.perf_counter() - begun)


def theirs():
    begun = time.perf_counter()
    check()
    return 1000 * (time.perf_counter() - begun)


Path(PHOTO).parent.mkdir(parents=True, exist_ok=True)
subprocess.run([RELEASE / "examples/canvas_photo", PHOTO], check=True)
print("OpenCV's offsets, mm:", ", ".join(f"{offset:.2f}" for offset in check().values()))
ours()
pairs = [(ours(), theirs()) for _ in range(RUNS)]
for what, pick in (("min", min), ("median", statistics.median), ("max", max)):
    mine, other = (pick(column) for column in zip(*pairs))
    print(f"{what}: ours {mine:.0f} ms, OpenCV {other:.0f} ms, ours / OpenCV {mine / other:.2f}")
