#!/bin/sh
# Builds the wheel and the sdist, installs the wheel where the sources are out of reach, and runs the demo
# from it. Called by `tests/run --all` with the folder of the tools.
set -eu

bin=$1
root=$(CDPATH='' cd -- "$(dirname -- "$0")/.." && pwd)
. "$root/tests/setup.sh"

place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT INT TERM

(cd "$root" && "$bin/python" -m build --no-isolation --outdir "$place/dist" . >/dev/null)
environment="$place/venv"
make_environment "$place"/dist/*.whl

cd "$place"
LUGBOOK="$place/venv/bin/lugbook"
export LUGBOOK
"$LUGBOOK" --version
where=$("$place/venv/bin/python" -c 'import lugbook; print(lugbook.__file__)')
case "$where" in
    "$place"/*) ;;
    *) say "The wheel was not what ran: $where"; exit 1 ;;
esac
starts=$("$LUGBOOK" presets --start --json | "$place/venv/bin/python" -c \
    'import json, sys; print(len(json.load(sys.stdin)["presets"]))')
[ "$starts" -ge 8 ] || { say "The wheel carries $starts starting points; at least 8 belong in it."; exit 1; }
"$LUGBOOK" --library "$root/demo/library" card preset concert-snare/dry-etude | grep -q '</html>' ||
    { say "The wheel prints no card."; exit 1; }
"$root/demo/run" </dev/null
