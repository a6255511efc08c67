#!/bin/sh
# Runs general-purpose pitch trackers over field recordings of engines and has
# them scored as Topnote's own readings are.
#
#   sh docs/trackers.sh ../shared/recordings
#
# Needs aubio-tools and praat (Debian packages of these names), and Go.
# Each tracker gets a range that suits an engine, 1,200 to 18,000 rpm, that is
# 20 to 300 Hz, and 20 ms between readings; aubio has no setting for the range,
# so its readings outside of it count as none.
set -eu
clips=$(cd "${1:?where are the recordings? the folder holds truth.json and engine/}" && pwd)/engine # praat reads from its own folder
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT

cat > "$out/read.praat" <<'PRAAT'
form Read
    sentence From
    sentence To
    word Method ac
endform
Read from file: from$
if method$ = "ac"
    To Pitch (ac): 0.02, 20, 15, "no", 0.03, 0.45, 0.01, 0.35, 0.14, 300
else
    To Pitch (cc): 0.02, 20, 15, "no", 0.03, 0.45, 0.01, 0.35, 0.14, 300
endif
n = Get number of frames
deleteFile: to$
for i to n
    t = Get time from frame number: i
    f = Get value in frame: i, "Hertz"
    if f = undefined
        f = 0
    endif
    appendFileLine: to$, fixed$ (t, 4), " ", fixed$ (f, 4)
endfor
PRAAT

for clip in "$clips"/*.wav; do
	name=$(basename "$clip")
	for method in yin yinfft yinfast mcomb fcomb schmitt; do
		mkdir -p "$out/aubio-$method"
		# aubio reads a hop, then looks at the 4096 samples that end with it: the
		# time is moved back to their middle.
		aubiopitch -i "$clip" -r 44100 -p $method -B 4096 -H 882 -u Hz -s -90 |
			awk '{ t = $1 + 0.02 - 2048 / 44100; print (t > 0 ? t : 0), $2 }' > "$out/aubio-$method/$name.txt"
	done
	for method in ac cc; do
		mkdir -p "$out/praat-$method"
		praat --run "$out/read.praat" "$clip" "$out/praat-$method/$name.txt" $method
	done
done
cd "$(dirname "$0")/.."
READINGS="$out" go test ./internal/firing -run Trackers -v -count=1
