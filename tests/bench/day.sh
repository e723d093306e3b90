#!/usr/bin/env bash
# A whole rendered speed day: what is found of it, time over bare decoding, memory, and what is left
# when it is killed.
#   scripts/bench day [--part render|accuracy|time|hour|kill]... [--runs N] [--cache FOLDER] [--minutes N]
# Without --part all of them, in this order. Renders 2 and 20 minutes once and keeps them in the
# cache folder: that takes most of an hour. The others take some minutes each on a machine that has
# nothing else to do. The hour is the 20 minutes three times over: it shows memory, not accuracy.
set -euo pipefail

bin=@CMAKE_RUNTIME_OUTPUT_DIRECTORY@
source=@PROJECT_SOURCE_DIR@
cache=@PROJECT_BINARY_DIR@/bench-clips
runs=3
minutes=20
parts=()

usage() {
  sed -n '4p' "${BASH_SOURCE[0]}" | cut -c3- >&2
  exit 2
}
while (($# > 0)); do
  case $1 in
    --runs) runs=${2:-}; shift 2 || usage ;;
    --cache) cache=${2:-}; shift 2 || usage ;;
    --minutes) minutes=${2:-}; shift 2 || usage ;;
    --part) parts+=("${2:-}"); shift 2 || usage ;;
    *) usage ;;
  esac
done
[[ $runs =~ ^[1-9][0-9]*$ && $minutes =~ ^[1-9][0-9]*$ ]] || usage
((${#parts[@]} > 0)) || parts=(accuracy time hour kill)
for part in "${parts[@]}"; do
  case $part in render | accuracy | time | hour | kill) ;; *) usage ;; esac
done
wanted() { [[ " ${parts[*]} " == *" $1 "* ]]; }
for program in "$bin/kinetics" "$bin/day_accuracy" ffmpeg python3 /usr/bin/time; do
  command -v "$program" >/dev/null || {
    echo "day: $program is missing; run scripts/setup and scripts/build" >&2
    exit 2
  }
done
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# make NAME MINUTES LIFTERS: a folder with scene, sheet, roster, truth and the recording.
make() {
  python3 "$source/samples/day/make_day.py" "$cache/$1" --minutes "$2" --lifters "$3"
  "$bin/day_accuracy" "$cache/$1" --render
}

# Wall seconds, processor seconds and peak memory (MB) of a command. Its exit code must be 0.
measured() {
  if ! /usr/bin/time -f '%e %U %S %M' -o "$scratch/time" "$@" >"$scratch/out" 2>"$scratch/err" \
    </dev/null; then
    echo "day: failed: $*" >&2
    tail -n 5 "$scratch/err" >&2
    exit 1
  fi
  tail -n 1 "$scratch/time" | awk '{ printf "%.2f %.2f %.0f\n", $1, $2 + $3, $4 / 1024 }'
}

# analyse FOLDER RECORDING: a run from nothing.
analyse() {
  rm -rf "$scratch/logbook"
  measured "$bin/kinetics" analyse "$2" --sheet "$1/sheet.csv" --roster "$1/roster.toml" \
    --logbook "$scratch/logbook"
}

decode() { measured ffmpeg -nostdin -v error -i "$1" -map 0:v:0 -f null -; }

median() { sort -n | awk '{ v[NR] = $1 } END { print v[int((NR + 1) / 2)] }'; }

# row FOLDER RECORDING RUNS
row() {
  local folder=$1 clip=$2 ours bare
  : >"$scratch/rounds"
  for ((i = 0; i < $3; ++i)); do
    # Who goes first changes every round.
    if ((i % 2)); then
      bare=$(decode "$clip")
      ours=$(analyse "$folder" "$clip")
    else
      ours=$(analyse "$folder" "$clip")
      bare=$(decode "$clip")
    fi
    echo "$ours $bare" >>"$scratch/rounds"
  done
  local length
  length=$(ffprobe -v error -show_entries format=duration -of csv=p=0 "$clip")
  printf '%8.1f %9.1f %9.1f %7.2f %9.1f %9.1f %7.2f %8.0f %8.0f\n' "$length" \
    "$(cut -d' ' -f1 "$scratch/rounds" | median)" "$(cut -d' ' -f4 "$scratch/rounds" | median)" \
    "$(awk '{ print $1 / $4 }' "$scratch/rounds" | median)" \
    "$(cut -d' ' -f2 "$scratch/rounds" | median)" "$(cut -d' ' -f5 "$scratch/rounds" | median)" \
    "$(awk '{ print $2 / $5 }' "$scratch/rounds" | median)" \
    "$(cut -d' ' -f3 "$scratch/rounds" | median)" "$(cut -d' ' -f6 "$scratch/rounds" | median)"
}

# The names of a logbook's session files tell what is in them.
names() { find "$1" -maxdepth 1 -name '*.h5' -printf '%f\n' | sort; }

killed() {
  local folder=$1 command length
  command=("$bin/kinetics" analyse "$folder/day.mp4" --sheet "$folder/sheet.csv"
    --roster "$folder/roster.toml" --logbook)
  rm -rf "$scratch/whole" "$scratch/killed"
  local begun=${EPOCHREALTIME/./}
  "${command[@]}" "$scratch/whole" >/dev/null
  length=$((${EPOCHREALTIME/./} - begun))
  RANDOM=20310307
  for ((i = 0; i < 10; ++i)); do
    "${command[@]}" "$scratch/killed" >/dev/null 2>&1 &
    local child=$!
    sleep "$(awk -v l="$length" -v r="$RANDOM" 'BEGIN { printf "%.3f", 1e-6 * l * (0.02 + 0.4 * r / 32767) }')"
    kill -9 "$child" 2>/dev/null || true
    wait "$child" 2>/dev/null || true
  done
  "${command[@]}" "$scratch/killed" >/dev/null
  if cmp -s <(names "$scratch/whole") <(names "$scratch/killed"); then
    echo "killed 10 times at random: the same $(names "$scratch/killed" | wc -l) sets in the end"
  else
    echo "killed 10 times at random: ANOTHER RESULT in the end"
    diff <(names "$scratch/whole") <(names "$scratch/killed") || true
    exit 1
  fi
}

mkdir -p "$cache"
long=$cache/day$minutes
if wanted render || wanted time || wanted kill; then make day2 2 4; fi
if wanted render || wanted accuracy || wanted time || wanted hour; then
  make "day$minutes" "$minutes" 7
fi
echo "$(date -u '+%F %H:%M'), $(nproc) cores, $(lscpu | sed -n 's/^Model name: *//p' | head -n 1)," \
  "load $(cut -d' ' -f1 /proc/loadavg) before the start, median of $runs"
if wanted accuracy; then "$bin/day_accuracy" "$long" --logbook "$scratch/accuracy" || true; fi
if wanted time || wanted hour; then
  printf '%8s %9s %9s %7s %9s %9s %7s %8s %8s\n' 'length s' 'ours s' 'decode s' ratio 'ours cpu' \
    'dec. cpu' ratio 'ours MB' 'dec. MB'
fi
if wanted time; then
  row "$cache/day2" "$cache/day2/day.mp4" "$runs"
  row "$long" "$long/day.mp4" "$runs"
fi
if wanted hour; then
  if [[ ! -f $long/hour.mp4 || $long/day.mp4 -nt $long/hour.mp4 ]]; then
    ffmpeg -nostdin -v error -y -stream_loop "$((60 / minutes - 1))" -i "$long/day.mp4" -c copy \
      "$long/hour.part.mp4"
    mv "$long/hour.part.mp4" "$long/hour.mp4"
  fi
  row "$long" "$long/hour.mp4" 1
fi
if wanted kill; then killed "$cache/day2"; fi
