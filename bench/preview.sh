#!/bin/sh
# Import of a JPEG of 24 megapixels, or of 50 if that is said, to an upright, colour-managed preview of 2048 px: ours against libvips' vipsthumbnail, in one run.
# Needs Debian's libvips-tools, hyperfine and time, and the probe: cargo build --release -p photo --example photo_probe
set -eu
cd "$(dirname "$0")/.."
probe=${MAHLSTICK_TARGET:-target}/release/examples/photo_probe
work=.cache/bench
photo=$(sh bench/photo.sh "${1:-24}")
ours="$probe $photo --preview 2048 $work/ours.ppm"
theirs="vipsthumbnail $photo --size 2048 --export-profile srgb --output $PWD/$work/theirs.ppm"
hyperfine --shell=none --warmup 2 --runs "${RUNS:-20}" --export-json "$work/preview.json" "$ours" "$theirs"
python3 - "$work/preview.json" <<'END'
import json, statistics, sys
results = json.load(open(sys.argv[1]))["results"]
ours, theirs = (result["times"] for result in results)
print("time, ours / libvips: min {:.2f}  median {:.2f}  max {:.2f}".format(
    min(ours) / min(theirs), statistics.median(ours) / statistics.median(theirs), max(ours) / max(theirs)))
ours, theirs = (result["user"] + result["system"] for result in results)
print("processor time, ours / libvips: {:.2f}".format(ours / theirs))
END
for command in "$ours" "$theirs"; do
    /usr/bin/time --format="peak memory %M KiB: ${command%% *}" $command > /dev/null
done
