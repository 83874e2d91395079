#!/bin/sh
# A value map of a 12-megapixel photo in five steps, smoothed by 2 mm on a canvas 16 in high: ours against OpenCV's bilateral filter
# of the same breadth with the same steps, each reading a JPEG and writing one, in one run.
# Needs hyperfine, and in .venv: pip install opencv-python-headless==5.0.0.93
set -eu
cd "$(dirname "$0")/.."
ours=${MAHLSTICK_TARGET:-target}/release/mahlstick
python=${PYTHON:-.venv/bin/python}
work=.cache/bench
mkdir -p "$work"
cat > "$work/bilateral.py" <<'END'
import sys
import cv2
import numpy as np
grey = cv2.cvtColor(cv2.imread(sys.argv[1]), cv2.COLOR_BGR2GRAY)
# 2 mm of a picture 406.4 mm high, as the diameter of the neighbourhood.
breadth = round(2 / 406.4 * grey.shape[0])
smooth = cv2.bilateralFilter(grey, breadth, 25, breadth / 2)
bounds, greys = [49, 96, 147, 200], np.array([28, 72, 121, 173, 227], np.uint8)
cv2.imwrite(sys.argv[2], greys[np.digitize(np.arange(256), bounds)][smooth], [cv2.IMWRITE_JPEG_QUALITY, 95])
END
hyperfine --warmup 1 --runs "${RUNS:-8}" --export-json "$work/values.json" \
    "$ours values --photo demo/harbour-pilot.jpg -o $work/ours.jpg" \
    "$python $work/bilateral.py demo/harbour-pilot.jpg $work/theirs.jpg"
python3 - "$work/values.json" <<'END'
import json, sys
ours, theirs = json.load(open(sys.argv[1]))["results"]
for what in ("min", "median", "max"):
    print(f"{what}, ours / OpenCV: {ours[what] / theirs[what]:.2f}")
print("processor time, ours / OpenCV: {:.2f}".format((ours["user"] + ours["system"]) / (theirs["user"] + theirs["system"])))
END
