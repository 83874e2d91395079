#!/bin/sh
# Makes the JPEG that the benchmarks share, unless it is there, and prints its name: of 24 megapixels, or of 50 if that is said.
# Needs Debian's libvips-tools.
set -eu
cd "$(dirname "$0")/.."
work=.cache/bench
mkdir -p "$work"

# A real photo enlarged, with fine grain added, since an enlargement has none and would decode faster than a photo does; stored on
# its side as a camera held upright stores it, in Display P3 as telephones do.
case ${1:-24} in
    24) width=6000 height=4000 times=9.375 ;;
    50) width=8660 height=5774 times=13.54 ;;
    *) echo "Of 24 or of 50 megapixels." >&2 && exit 2 ;;
esac
photo=$work/${1:-24}-megapixels.jpg
if [ ! -f "$photo" ]; then
    pictures=$(python3 -c 'import sys; sys.path.insert(0, "tests/outside"); import fetch; print(fetch.scikit_learn_pictures())')
    vips resize "$pictures/china.jpg" "$work/large.v" "$times" --kernel lanczos3
    vips crop "$work/large.v" "$work/cut.v" 0 0 "$width" "$height"
    vips gaussnoise "$work/grain.v" "$width" "$height" --mean 0 --sigma 4 --seed 1
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
