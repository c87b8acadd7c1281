#!/usr/bin/env bash
# Set up all that the tests need in .venv: this project, its test tools at the versions of
# constraints.txt, and (Debian, as root or with sudo) a browser, a PDF reader, and a compiler for the kernels.
set -euo pipefail
cd "$(dirname "$0")/.."

missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v chromedriver >/dev/null || missing+=(chromium-driver)
command -v pdftoppm >/dev/null || missing+=(poppler-utils)
command -v cc >/dev/null || missing+=(gcc libc6-dev)
headers=$(python3 -c 'import sysconfig; print(sysconfig.get_path("include"))')
[ -e "$headers/Python.h" ] || missing+=(python3-dev)
if [ ${#missing[@]} -gt 0 ]; then
  root=""
  [ "$(id -u)" -eq 0 ] || root=sudo
  $root apt-get update -qq
  DEBIAN_FRONTEND=noninteractive $root apt-get install -y -qq "${missing[@]}" >/dev/null
fi

[ -x .venv/bin/python ] || python3 -m venv --without-pip .venv
python3 -m pip --python .venv install -q -c constraints.txt -e ".[test]"
