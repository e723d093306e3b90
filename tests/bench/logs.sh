#!/usr/bin/env bash
# Time and memory of the log reader beside `wc -l`, NumPy's loadtxt and pandas' read_csv.
#   scripts/bench logs [--runs N] [--rows N] [--cache FOLDER] [LOG]
# Without a LOG it makes an hour of six axes at 1 kHz (3,600,000 rows) and keeps it in the cache
# folder. All read the same file from memory: it is read once before. They take turns, so that
# whatever else the machine does meets all of them. pandas is left out when it is not installed.
set -euo pipefail

bin=@CMAKE_RUNTIME_OUTPUT_DIRECTORY@
cache=@PROJECT_BINARY_DIR@/bench-logs
runs=5
rows=3600000
log=

usage() {
  sed -n '3p' "${BASH_SOURCE[0]}" | cut -c3- >&2
  exit 2
}
while (($# > 0)); do
  case $1 in
    --runs) runs=${2:-}; shift 2 || usage ;;
    --rows) rows=${2:-}; shift 2 || usage ;;
    --cache) cache=${2:-}; shift 2 || usage ;;
    -*) usage ;;
    *) log=$1; shift ;;
  esac
done
[[ $runs =~ ^[1-9][0-9]*$ && $rows =~ ^[1-9][0-9]*$ ]] || usage
for program in "$bin/log_reading" /usr/bin/time /usr/bin/python3; do
  command -v "$program" >/dev/null || { echo "logs: $program is missing; run scripts/setup and scripts/build" >&2; exit 2; }
done
mkdir -p "$cache"
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

if [[ -z $log ]]; then
  log=$cache/six-axes-$rows.csv
  if [[ ! -f $log ]]; then
    echo "making $log ..." >&2
    "$bin/log_reading" make "$log.part" "$rows"
    mv "$log.part" "$log"
  fi
fi

# Wall seconds, processor seconds and peak memory (MB) of a command. Its exit code must be 0.
measured() {
  if ! /usr/bin/time -f '%e %U %S %M' -o "$scratch/time" "$@" >"$scratch/out" 2>"$scratch/err" </dev/null; then
    echo "logs: failed: $*" >&2
    tail -n 5 "$scratch/err" >&2
    exit 1
  fi
  tail -n 1 "$scratch/time" | awk '{ printf "%s %.2f %.0f\n", $1, $2 + $3, $4 / 1024 }'
}

cat >"$scratch/by_numpy.py" <<'PY'
import sys, numpy
print(len(numpy.loadtxt(sys.argv[1], delimiter=",", skiprows=1)))
PY
cat >"$scratch/by_pandas.py" <<'PY'
import sys, pandas
print(len(pandas.read_csv(sys.argv[1])))
PY
order=(wc stream whole numpy)
if /usr/bin/python3 -c 'import pandas' 2>/dev/null; then order+=(pandas); fi
read_by() {
  case $1 in
    wc) measured wc -l "$log" ;;
    stream | whole) measured "$bin/log_reading" "$1" "$log" ;;
    numpy | pandas) measured /usr/bin/python3 "$scratch/by_$1.py" "$log" ;;
  esac
}

cat "$log" >/dev/null
for ((i = 0; i < runs; ++i)); do
  for ((j = 0; j < ${#order[@]}; ++j)); do
    # Who goes first changes every round.
    name=${order[(i + j) % ${#order[@]}]}
    read_by "$name" >>"$scratch/$name"
  done
done

# Of the numbers on standard input: median, least, greatest.
spread() {
  sort -n | awk '{ v[NR] = $1 }
    END { m = NR % 2 ? v[(NR + 1) / 2] : (v[NR / 2] + v[NR / 2 + 1]) / 2; print m, v[1], v[NR] }'
}
column() { cut -d' ' -f"$2" "$scratch/$1" | spread; }

bytes=$(stat -c %s "$log")
echo "$(date -u +%F), $(nproc) cores, $(lscpu | sed -n 's/^Model name: *//p' | head -n 1)," \
  "load $(cut -d' ' -f1 /proc/loadavg) at the end, median of $runs, $((bytes / 1000000)) MB"
printf '%-10s %8s  %-13s %8s %7s  %-22s %8s\n' reader 'wall s' 'least–most' 'proc. s' 'MB/s' \
  'wall time over ours' 'peak MB'
for name in "${order[@]}"; do
  read -r wall least most < <(column "$name" 1)
  read -r busy _ _ < <(column "$name" 2)
  read -r memory _ _ < <(column "$name" 3)
  # Paired: each round's own ratio to the whole reading of that round.
  read -r ratio low high < <(paste -d' ' "$scratch/$name" "$scratch/whole" |
    awk '{ print $1 / $4 }' | spread)
  printf '%-10s %8.2f  %5.2f–%-7.2f %8.2f %7.0f  %6.2f (%.2f–%.2f) %12d\n' "$name" "$wall" \
    "$least" "$most" "$busy" "$(awk -v b="$bytes" -v s="$wall" 'BEGIN { print b / 1e6 / (s > 0 ? s : 0.01) }')" \
    "$ratio" "$low" "$high" "$memory"
done
