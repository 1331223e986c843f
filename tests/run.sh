#!/usr/bin/env bash
# npm test: sees to the tools, then runs every check (run.ts). Ends with one line: N passed, N failed.
set -u
cd "$(dirname "$0")/.."

if ! [ -x node_modules/.bin/tsx ]; then
  echo 'The packages of this project are not installed. Run this first: npm ci'
  echo '0 passed, 1 failed'
  exit 1
fi
exec node_modules/.bin/tsx tests/run.ts
