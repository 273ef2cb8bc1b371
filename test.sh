#!/usr/bin/env bash
# Runs every test. What a test needs beside Go (a browser, reference solvers, PostgreSQL)
# is installed first through apt when run as root; when something is missing
# and cannot be installed, the run fails and says what.
#
#   ./test.sh          everything
#   ./test.sh --core   what needs Go alone
set -euo pipefail
cd "$(dirname "$0")"

core=false
case "${1:-}" in
  "") ;;
  --core) core=true ;;
  -h|--help) sed -n '2,8s/^# \{0,1\}//p' "$0"; exit 0 ;;
  *) echo "test.sh: unknown argument $1; the only one is --core" >&2; exit 2 ;;
esac

if $core; then
  exec go test ./...
fi

# command:Debian package
need=(glpsol:glpk-utils cbc:coinor-cbc clasp:clasp gringo:gringo ngspice:ngspice chromium:chromium initdb:postgresql pdftotext:poppler-utils)
# Debian keeps PostgreSQL's server out of the path.
have() { command -v "$1" >/dev/null || compgen -G "/usr/lib/postgresql/*/bin/$1" >/dev/null; }
missing=()
for pair in "${need[@]}"; do
  have "${pair%%:*}" || missing+=("${pair##*:}")
done
if ((${#missing[@]})); then
  if [[ $(id -u) != 0 ]] || ! command -v apt-get >/dev/null; then
    echo "test.sh: missing ${missing[*]}; install these Debian packages, or run ./test.sh --core for what needs Go alone" >&2
    exit 1
  fi
  echo "test.sh: installing ${missing[*]}"
  export DEBIAN_FRONTEND=noninteractive
  apt-get update -qq
  apt-get install -y -qq --no-install-recommends "${missing[@]}" fonts-dejavu-core >/dev/null
fi
for pair in "${need[@]}"; do
  have "${pair%%:*}" || { echo "test.sh: ${pair%%:*} is still missing after installing ${pair##*:}" >&2; exit 1; }
done

go test -tags 'solvers browser postgres papers' -timeout 30m ./...

# The planner against brute force, on more machines than a quick run has.
go test -timeout 30m -run 'TestOracle|TestMovesOracle' ./access -oracle.seeds 10000 -oracle.from 5000000 -moves.seeds 300
