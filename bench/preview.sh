#!/bin/sh
# Import of a 24-megapixel JPEG to an upright, colour-managed preview of 2048 px: ours against libvips' vipsthumbnail, in one run.
# Needs Debian's libvips-tools, hyperfine and time, and the probe: cargo build --release -p photo --example photo_probe
set -eu
cd "$(dirname "$0")/.."
probe=${MAHLSTICK_TARGET:-target}/release/examples/photo_probe
work=.cache/bench
mkdir -p "$work"

# A real photo enlarged, with fine grain added, since an enlargement has none and would decode faster than a photo does; stored on
# its side as a camera held upright stores it, in Display P3 as telephones do.
photo=$work/24-megapixels.jpg
if [ ! -f "$photo" ]; then
    pictures=$(python3 -c 'import sys; sys.path.insert(0, "tests/outside"); import fetch; print(fetch.scikit_learn_pictures())')
    vips resize "$pictures/china.jpg" "$work/large.v" 9.375 --kernel lanczos3
    vips crop "$work/large.v" "$work/cut.v" 0 0 6000 4000
    vips gaussnoise "$work/grain.v" 6000 4000 --mean 0 --sigma 4 --seed 1
    vips add "$work/cut.v" "$work/grain.v" "$work/sum.v"
    vips cast "$work/sum.v" "$work/photo.v" uchar
    vips jpegsave "$work/photo.v" "$photo" --Q 90 --profile p3
    # In place of the EXIF that libvips writes, one with nothing but orientation 6.
    python3 - "$photo" <<'END'
import pathlib, sys
photo = pathlib.Path(sys.argv[1])
exif = b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0"
jpeg = photo.read_bytes()
start = jpeg.index(b"\xff\xe1") + 2
end = start + int.from_bytes(jpeg[start:start + 2], "big")
photo.write_bytes(jpeg[:start] + (len(exif) + 2).to_bytes(2, "big") + exif + jpeg[end:])
END
    rm "$work"/*.v
fi

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
