#!/bin/sh
# Installs the Debian packages named, where their commands or files are not on this machine yet.
set -eu
missing=""
for package in "$@"; do
  case "$package" in
    default-jre-headless) command=java ;;
    hunspell-en-gb) command=/usr/share/hunspell/en_GB.dic ;;
    python3-venv) command=ensurepip-is-missing ;;
    *) command=$package ;;
  esac
  [ -e "$command" ] || command -v "$command" >/dev/null 2>&1 || missing="$missing $package"
done
[ -n "$missing" ] || exit 0
exec 9<"$0" && flock 9  # Under make --jobs two may ask at once: one waits for the other.
if [ "$(id -u)" -ne 0 ]; then as_root=sudo; else as_root=""; fi
export DEBIAN_FRONTEND=noninteractive
$as_root apt-get update --quiet
# shellcheck disable=SC2086 - the list is words on purpose
$as_root apt-get install --yes --quiet --no-install-recommends $missing
