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
card() { "$LUGBOOK" --library "$root/demo/library" card "$@"; }
for what in "preset concert-snare/dry-etude" "drum concert-snare" "blank concert-snare" "concert winter-concert"; do
    # shellcheck disable=SC2086 -- two words
    card $what | grep -q '</html>' || { say "The wheel prints no card of: $what"; exit 1; }
done
# The wheel is installed without extras, so there is nothing that makes a QR code.
if "$place/venv/bin/python" -c 'import segno' 2>/dev/null; then
    say "The package segno is there although the extra was not asked for."
    exit 1
fi
code=0
card preset concert-snare/dry-etude --qr >"$place/card.html" 2>"$place/said" || code=$?
if [ "$code" -ne 2 ] || [ -s "$place/card.html" ] || ! grep -qF "lugbook[qr]" "$place/said"; then
    say "Without segno --qr ended with $code and said:"
    cat "$place/said" >&2
    exit 1
fi
"$root/demo/run" </dev/null
