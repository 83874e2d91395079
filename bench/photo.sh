#!/bin/sh
# Makes the 24-megapixel JPEG that the benchmarks share, unless it is there, and prints its name. Needs Debian's libvips-tools.
set -eu
cd "$(dirname "$0")/.."
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
echo "$photo"
