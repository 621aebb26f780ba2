# shellcheck shell=bash
# Sourced by scripts/try, scripts/check and scripts/lock: makes .venv and keeps it as locked.
#
#   TOP        the top of the work tree
#   setup run  .venv can start Herdbook
#   setup dev  .venv can check it too
#
# There is one .venv, not two. The dev lock holds every pin of the run lock and more, so a set-up for dev
# serves for run as well, and editors, tests and people all look in the one place. What one .venv could hide,
# code that ships importing a package only the tests bring, the import contract "ships" catches.
#
# Package indexes are whatever pip is set up to use on the machine; the hashes in the locks say what to accept.

TOP=$(readlink -f -- "${BASH_SOURCE[0]}")
TOP=${TOP%/scripts/setup.sh}
VENV=$TOP/.venv
PATH=${PATH//"$VENV/bin:"/} # where .venv is active: it cannot be remade by its own Python

# Debian packages that the tests need, separated by blanks: a server for the door, people for it, a broker for
# loggers, what records writes for the power cuts, and a reader of shell scripts.
TEST_PACKAGES="openssh-server openssh-client libnss-wrapper mosquitto openssl strace shellcheck"

say() { printf '%s\n' "$*" >&2; }

fail() {
    say "$@"
    exit 1
}

root_on_debian() { [ "$(id -u)" = 0 ] && [ -e /etc/debian_version ] && command -v apt-get >/dev/null; }

apt_install() {
    say "Installing $* ..."
    {
        apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$@"
    } </dev/null >&2
}

# Only here can packages be missing, so only scripts/check asks.
setup_test_packages() {
    local name missing=""
    for name in $TEST_PACKAGES; do
        case $(dpkg-query -W -f '${Status}' "$name" 2>/dev/null) in
            "install ok installed") ;;
            *) missing="$missing $name" ;;
        esac
    done
    [ -n "$missing" ] || return 0
    # shellcheck disable=SC2086 # one word per package
    if root_on_debian; then
        apt_install $missing
    else
        say "Some tests need packages this machine may lack. On Debian: apt-get install$missing"
    fi
}

# Sets PYTHON to the first Python that is new enough. A shim that is on the path but starts nothing is passed by.
find_python() {
    for PYTHON in python3 python3.14 python3.13 python3.12 python3.11; do
        "$PYTHON" -c 'import sys; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && return
    done
    return 1
}

python_with_venv() { find_python && "$PYTHON" -c 'import ensurepip, venv' 2>/dev/null; }

# Debian keeps venv's other half, ensurepip, in a package of its own.
setup_python() {
    python_with_venv && return
    local package=python3-venv
    if find_python && [ "$PYTHON" != python3 ]; then package=$PYTHON-venv; fi
    if root_on_debian; then
        apt_install "$package" && python_with_venv && return
    fi
    find_python || fail "Herdbook needs Python 3.11 or newer. On Debian: apt-get install $package"
    fail "$PYTHON cannot make a virtual environment here. On Debian: apt-get install $package"
}

# What the .venv of level $1 is made from, in short. The place counts: a .venv cannot be moved.
mark() {
    # shellcheck disable=SC2002 # one stream, one process to sum it
    { printf '%s\n' "$TOP"; cat "$TOP/pyproject.toml" "$TOP/scripts/locked/$1.txt"; } | cksum
}

up_to_date() {
    local stamped=""
    [ -x "$VENV/bin/python" ] && read -r stamped 2>/dev/null <"$VENV/stamp-$1" && [ "$stamped" = "$(mark "$1")" ]
}

pip() { "$VENV/bin/python" -m pip --disable-pip-version-check --no-input -qq "$@" </dev/null; }

install() {
    local level=$1
    say "Setting up ${VENV##*/} for $level, which may take a minute ..."

    # In place where the last set-up of this .venv was finished here, since others may be running from it;
    # anew where it was cut short, or the tree was moved, or its Python is gone.
    local place=""
    { [ -e "$VENV/place" ] && place=$(cat "$VENV/place"); } || true
    rm -f "$VENV/place" "$VENV/stamp-run" "$VENV/stamp-dev"
    if [ "$place" != "$TOP" ] || ! "$VENV/bin/python" -c 'import pip' 2>/dev/null; then
        setup_python
        "$PYTHON" -m venv --clear "$VENV" || fail "$PYTHON could not make $VENV."
    fi

    # Every download must have a hash that the lock names, also what builds the two packages that are built
    # here: psychrolib by setuptools, Herdbook by hatchling. All others come as wheels, so nothing needs a
    # compiler. Herdbook is editable: a change to its source needs no new set-up.
    {
        case $level in
            run) pip install --require-hashes --only-binary :all: -r "$TOP/scripts/locked/run.txt" ;;
            dev)
                awk '/^[^ ]/ { ours = /^setuptools==/ } ours' "$TOP/scripts/locked/dev.txt" >"$VENV/first.txt" &&
                    pip install --require-hashes --only-binary :all: -r "$VENV/first.txt" &&
                    pip install --require-hashes --only-binary :all: --no-binary psychrolib \
                        --no-build-isolation --use-pep517 -r "$TOP/scripts/locked/dev.txt"
                ;;
        esac &&
            pip install --no-index --no-deps --no-build-isolation --editable "$TOP"
    } || fail "The set-up could not be finished. It needs the network, this once; then try again."

    mark run >"$VENV/stamp-run"
    if [ "$level" = dev ]; then mark dev >"$VENV/stamp-dev"; fi
    printf '%s\n' "$TOP" >"$VENV/place"
}

setup() {
    up_to_date "$1" && return
    # One at a time. The lock belongs to the open file, which this shell shares with the Python that takes it,
    # so it is let go when the shell closes the file or dies, however it dies; macOS has no flock command.
    find_python || setup_python
    exec 9>"$TOP/.venv.lock"
    "$PYTHON" -c 'import fcntl; fcntl.flock(9, fcntl.LOCK_EX)'
    # Someone else may have done it while we waited.
    up_to_date "$1" || install "$1"
    exec 9>&-
}
