# Set-up shared by tests/run and demo/run; sourced, POSIX shell, with $root set to the checkout.
#
# Makes a virtual environment under .venv/ (outside git's sight) with the pinned versions of
# tests/constraints.txt: with uv where it is there and works, else with venv and pip. A stamp holds the checksum of
# what the environment was made from, so that the second time nothing is waited for.

say() { printf '%s\n' "$*" >&2; }

python_of_choice() {
    for candidate in "${LUGBOOK_PYTHON:-}" python3 python3.13 python3.12 python3.11 python; do
        [ -n "$candidate" ] || continue
        if "$candidate" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; then
            printf '%s\n' "$candidate"
            return 0
        fi
    done
    say "Lugbook needs Python 3.11 or newer; none was found. Set LUGBOOK_PYTHON to one."
    return 1
}

with_uv() {
    uv venv --quiet --python ">=3.11" "$environment" &&
        (cd "$root" && uv pip install --quiet --compile-bytecode --python "$environment/bin/python" \
            --constraint tests/constraints.txt "$@")
}

with_pip() {
    python=$(python_of_choice) || return 1
    "$python" -m venv "$environment" &&
        (cd "$root" && "$environment/bin/python" -m pip install --quiet --disable-pip-version-check \
            --constraint tests/constraints.txt pip &&
            "$environment/bin/python" -m pip install --quiet --disable-pip-version-check \
                --constraint tests/constraints.txt "$@")
}

# make_environment INSTALL-ARGUMENTS...   makes the environment $environment anew, with these in it
make_environment() {
    rm -rf "$environment"
    if ! { command -v uv >/dev/null 2>&1 && with_uv "$@"; }; then
        rm -rf "$environment"
        with_pip "$@"
    fi
}

# set_up NAME INSTALL-ARGUMENTS...   leaves the environment's folder in $environment
set_up() {
    environment="$root/.venv/$1"
    shift
    wanted=$(cat "$root/pyproject.toml" "$root/tests/constraints.txt" | cksum)" $*"
    if [ -x "$environment/bin/python" ] && [ "$(cat "$environment/stamp" 2>/dev/null)" = "$wanted" ]; then
        return 0
    fi
    say "Setting up $environment (once; needs the package index) ..."
    mkdir -p "$root/.venv"
    make_environment "$@"
    # The sources are compiled now rather than at each start, which some machines forbid to write.
    "$environment/bin/python" -m compileall -q "$root/src" || true
    printf '%s\n' "$wanted" >"$environment/stamp"
}

# set_up_runtime   leaves the path of the lugbook command in $LUGBOOK; one that is set already is used
set_up_runtime() {
    [ -z "${LUGBOOK:-}" ] || return 0
    set_up run --editable .
    LUGBOOK="$environment/bin/lugbook"
}

# set_up_tests   leaves the folder of the tools in $bin
set_up_tests() {
    set_up tests --editable . --group dev
    bin="$environment/bin"
}
