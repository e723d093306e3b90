#!/usr/bin/env bash
# Time and memory of `kinetics analyse CLIP` beside bare decoding, `ffmpeg -i CLIP -f null -`.
#   scripts/bench speed [--runs N] [--cache FOLDER] [--long] [CLIP...]
# Without CLIPs it renders half a minute each of 720p30, 1080p60 and 4K30 and keeps them in the
# cache folder. The two programs take turns, so that whatever else the machine does meets both.
# --long adds ten minutes of the two smaller clips in a loop: memory must not grow with length.
set -euo pipefail

bin=@CMAKE_RUNTIME_OUTPUT_DIRECTORY@
scenes=@CMAKE_CURRENT_SOURCE_DIR@/scenes
cache=@PROJECT_BINARY_DIR@/bench-clips
runs=5
long=no
clips=()

usage() {
  sed -n '3p' "${BASH_SOURCE[0]}" | cut -c3- >&2
  exit 2
}
while (($# > 0)); do
  case $1 in
    --runs) runs=${2:-}; shift 2 || usage ;;
    --cache) cache=${2:-}; shift 2 || usage ;;
    --long) long=yes; shift ;;
    -*) usage ;;
    *) clips+=("$1"); shift ;;
  esac
done
[[ $runs =~ ^[1-9][0-9]*$ ]] || usage
for program in "$bin/kinetics" "$bin/render_clip" ffmpeg ffprobe /usr/bin/time; do
  command -v "$program" >/dev/null || { echo "speed: $program is missing; run scripts/setup and scripts/build" >&2; exit 2; }
done
mkdir -p "$cache"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

# A clip is rendered again when its scene has changed; a half-rendered one is never kept.
rendered() {
  local clip=$cache/$1.mp4
  if [[ ! -f $clip ]] || ! cmp -s "$scenes/$1.json" "$cache/$1.json"; then
    echo "rendering $1 ..." >&2
    "$bin/render_clip" "$scenes/$1.json" "$cache/$1.part.mp4" >&2
    mv "$cache/$1.part.mp4" "$clip"
    cp "$scenes/$1.json" "$cache/$1.json"
  fi
  echo "$clip"
}

# Wall seconds and peak memory (MB) of a command, as "S MB". Its exit code must be 0.
measured() {
  if ! /usr/bin/time -f '%e %M' -o "$scratch/time" "$@" >"$scratch/out" 2>"$scratch/err" </dev/null; then
    echo "speed: failed: $*" >&2
    tail -n 5 "$scratch/err" >&2
    exit 1
  fi
  tail -n 1 "$scratch/time" | awk '{ printf "%s %.0f\n", $1, $2 / 1024 }'
}

# Of the numbers on standard input: median, least, greatest.
spread() {
  sort -n | awk '{ v[NR] = $1 }
    END { m = NR % 2 ? v[(NR + 1) / 2] : (v[NR / 2] + v[NR / 2 + 1]) / 2; print m, v[1], v[NR] }'
}

row() {
  local clip=$1 rounds=$2 name length ours bare
  name=$(basename "$clip")
  length=$(ffprobe -v error -show_entries format=duration -of csv=p=0 "$clip")
  : >"$scratch/rounds"
  for ((i = 0; i < rounds; ++i)); do
    # Who goes first changes every round.
    if ((i % 2)); then
      bare=$(measured ffmpeg -nostdin -v error -i "$clip" -map 0:v:0 -f null -)
      ours=$(measured "$bin/kinetics" analyse "$clip")
    else
      ours=$(measured "$bin/kinetics" analyse "$clip")
      bare=$(measured ffmpeg -nostdin -v error -i "$clip" -map 0:v:0 -f null -)
    fi
    echo "$ours $bare" >>"$scratch/rounds"
  done
  local ours_s bare_s ratio least most ours_mb bare_mb
  read -r ours_s _ _ < <(cut -d' ' -f1 "$scratch/rounds" | spread)
  read -r bare_s _ _ < <(cut -d' ' -f3 "$scratch/rounds" | spread)
  read -r ratio least most < <(awk '{ print $1 / $3 }' "$scratch/rounds" | spread)
  read -r _ _ ours_mb < <(cut -d' ' -f2 "$scratch/rounds" | spread)
  read -r _ _ bare_mb < <(cut -d' ' -f4 "$scratch/rounds" | spread)
  printf '%-16s %8.1f %9.2f %9.2f %7.2f  %5.2f–%-5.2f %8d %8d\n' "$name" "$length" "$ours_s" \
    "$bare_s" "$ratio" "$least" "$most" "$ours_mb" "$bare_mb"
}

looped() {
  local clip=$cache/$1-10min.mp4
  if [[ ! -f $clip || $cache/$1.mp4 -nt $clip ]]; then
    local length
    length=$(ffprobe -v error -show_entries format=duration -of csv=p=0 "$cache/$1.mp4")
    local more
    more=$(awk -v s="$length" 'BEGIN { printf "%d", 600 / s }')
    ffmpeg -nostdin -v error -y -stream_loop "$more" -i "$cache/$1.mp4" -c copy -t 600 \
      "$cache/$1-10min.part.mp4"
    mv "$cache/$1-10min.part.mp4" "$clip"
  fi
  echo "$clip"
}

if ((${#clips[@]} == 0)); then
  for name in 720p30 1080p60 4K30; do clips+=("$(rendered "$name")"); done
fi
echo "$(date -u +%F), $(nproc) cores, $(lscpu | sed -n 's/^Model name: *//p' | head -n 1)," \
  "load $(cut -d' ' -f1 /proc/loadavg) before the start, median of $runs"
printf '%-16s %8s %9s %9s %7s  %-11s %8s %8s\n' clip 'length s' 'ours s' 'decode s' ratio \
  'least–most' 'ours MB' 'dec. MB'
for clip in "${clips[@]}"; do row "$clip" "$runs"; done
if [[ $long == yes ]]; then
  for name in 720p30 1080p60; do
    rendered "$name" >/dev/null
    row "$(looped "$name")" 1
  done
fi
