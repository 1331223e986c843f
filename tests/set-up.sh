#!/usr/bin/env bash
# Sees to it that the programs the tests call are there. On Debian and its kin the missing ones are
# installed, as root or with sudo; elsewhere they are only named. Exit status 1 if any is still missing.
set -u

has() { command -v "$1" >/dev/null 2>&1; }

has_browser() {
  has chromium || has chromium-browser || has google-chrome || has google-chrome-stable ||
    [ -d '/Applications/Google Chrome.app' ] || [ -d '/Applications/Chromium.app' ]
}

# The compiler itself says whether it finds the C libraries.
compiles() { has "$1" && echo "#include <$2>" | "$1" -E - >/dev/null 2>&1; }

# Where Debian's package puts them; tests/rig/board-programs.ts builds them.
boot_loaders=/usr/share/arduino/hardware/arduino/avr/bootloaders

# One line for each that is missing: its Debian packages if any, then what it is.
missing() {
  if [ -n "${CHROMIUM:-}" ]; then
    has "$CHROMIUM" || echo ": the browser that CHROMIUM names, $CHROMIUM"
  else
    has_browser || echo 'chromium: a browser, Chromium or Chrome (or set CHROMIUM to its path)'
  fi
  compiles gcc stdlib.h || echo 'gcc libc6-dev: the C compiler gcc'
  compiles avr-gcc avr/io.h || echo 'gcc-avr binutils-avr avr-libc: the AVR compiler avr-gcc with avr-libc'
  has avr-objcopy || echo 'binutils-avr: avr-objcopy'
  has make || echo 'make: make'
  [ -f "$boot_loaders/optiboot/optiboot.c" ] && [ -f "$boot_loaders/atmega/ATmegaBOOT_168.c" ] ||
    echo "arduino-core-avr: the sources of two boot loaders in $boot_loaders (Debian's arduino-core-avr)"
  has pdftotext && has pdfinfo || echo 'poppler-utils: pdftotext and pdfinfo (Poppler)'
  has qpdf || echo 'qpdf: qpdf'
}

packages() { missing | cut -d: -f1 | tr ' ' '\n' | sort -u | xargs; }

install() {
  local as_root=()
  if [ "$(id -u)" -ne 0 ]; then
    has sudo || { echo 'Neither root nor sudo: cannot install.'; return 1; }
    as_root=(sudo)
  fi
  "${as_root[@]}" apt-get update -q &&
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "$@"
}

if has apt-get && [ -n "$(packages)" ]; then
  echo "Installing: $(packages)"
  # shellcheck disable=SC2046 -- one word for each package
  install $(packages)
fi

if [ -n "$(missing)" ]; then
  echo 'The tests need programs that are not here:'
  missing | sed 's/^[^:]*: /  /'
  if has apt-get && [ -n "$(packages)" ]; then echo "Install them with: apt-get install $(packages)"; fi
  exit 1
fi
