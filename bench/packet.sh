#!/bin/sh
# The packet of a 24-megapixel JPEG on a 24 x 36 in canvas at true size, all sheets: ours against img2pdf embedding the same JPEG on as
# many pages, in one run. Needs Debian's libvips-tools, hyperfine and time, img2pdf from PyPI, and the release build.
set -eu
cd "$(dirname "$0")/.."
mahlstick=${MAHLSTICK_TARGET:-target}/release/mahlstick
work=.cache/bench
photo=$(sh bench/photo.sh)
[ -x "$work/venv/bin/img2pdf" ] || { python3 -m venv "$work/venv" && "$work/venv/bin/pip" install --quiet img2pdf==0.6.3; }

# Every kind that a plan without landmarks has.
kinds=plan,marks,strips,reference,details,film,bars,card
ours="$mahlstick packet --photo $photo --canvas 24x36in --place fill --detail 8in,8in,8x8in --only $kinds -o $work/ours.pdf"
$ours
pages=$(qpdf --show-npages "$work/ours.pdf")
copies=""
for _ in $(seq "$pages"); do copies="$copies $photo"; done
theirs="$work/venv/bin/img2pdf $copies -o $work/theirs.pdf"
hyperfine --shell=none --warmup 2 --runs "${RUNS:-20}" --export-json "$work/packet.json" "$ours" "$theirs"
python3 - "$work/packet.json" "$pages" <<'END'
import json, statistics, sys
ours, theirs = (result["times"] for result in json.load(open(sys.argv[1]))["results"])
print("{} pages; ours: min {:.0f} ms, median {:.0f} ms, max {:.0f} ms".format(
    sys.argv[2], *(1000 * pick(ours) for pick in (min, statistics.median, max))))
print("time, ours / img2pdf: min {:.2f}  median {:.2f}  max {:.2f}".format(
    *(pick(ours) / pick(theirs) for pick in (min, statistics.median, max))))
END
for command in "$ours" "$theirs"; do
    /usr/bin/time --format="peak memory %M KiB: ${command%% *}" $command > /dev/null
done
