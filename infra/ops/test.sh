#!/usr/bin/env bash
# Installs what is missing and permitted, builds, runs every test project.
# Last line: "N passed, N failed". Exit code 0 only if nothing failed.
set -uo pipefail
cd "$(dirname "$0")/../.."
export DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1
passed=0 failed=0

loud() { printf '\n!!! %s\n\n' "$*"; }
finish() {
  echo "$passed passed, $failed failed"
  [ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
  exit
}

if ! command -v dotnet >/dev/null; then
  loud "NOT RUN: everything. The .NET 10 SDK (dotnet) is not installed."
  failed=1
  finish
fi

missing=()
command -v chromium >/dev/null || missing+=(chromium)
command -v qpdf >/dev/null || missing+=(qpdf)
command -v pdfinfo >/dev/null || missing+=(poppler-utils)
ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || missing+=(postgresql)
if [ "${#missing[@]}" -gt 0 ]; then
  if [ "$(id -u)" -eq 0 ] && command -v apt-get >/dev/null; then
    echo "Installing ${missing[*]} ..."
    { apt-get update -q && DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "${missing[@]}"; } >/tmp/aftercare-apt.log 2>&1 \
      || { tail -n 20 /tmp/aftercare-apt.log; loud "Could not install ${missing[*]}: the tests that need it will FAIL."; }
  else
    loud "Missing: ${missing[*]}. The tests that need it will FAIL. On Debian, as root: apt-get install ${missing[*]}"
  fi
fi

open_data="${AFTERCARE_OPEN_DATA:-../shared/data}"
if [ -d "$open_data" ]; then AFTERCARE_OPEN_DATA="$(cd "$open_data" && pwd)" && export AFTERCARE_OPEN_DATA; else loud "Open data not found at $open_data (set AFTERCARE_OPEN_DATA): checks against it are NOT RUN."; fi
loud "NOT RUN here: SQL Server itself (its create script is only parsed), and a real carrier."

results="$(mktemp -d)"
trap 'rm -rf "$results"' EXIT

# Release: what is tested is what runs, and the simulated nights take half as long.
# A project that restores or builds nothing runs nothing, and counts as failed.
for folder in tests/*.Tests/; do
  name="$(basename "$folder")"
  if ! grep -rqE --include='*.cs' --exclude-dir=obj --exclude-dir=bin '\[(Fact|Theory|Property)' "$folder"; then
    loud "$name has no test: skipped."
    continue
  fi
  echo "== $name"
  if ! dotnet build "$folder" -c Release -v q; then
    loud "$name does not build."
    failed=$((failed + 1))
    continue
  fi
  dotnet test "$folder" -c Release --no-build --results-directory "$results" --logger "trx;LogFileName=$name.trx" --logger "console;verbosity=minimal"
  code=$?
  counters="$(grep -o '<Counters [^>]*>' "$results/$name.trx" 2>/dev/null | tail -n 1)"
  count() { sed -n "s/.* $1=\"\([0-9]*\)\".*/\1/p" <<<"$counters"; }
  total="$(count total)" good="$(count passed)" executed="$(count executed)"
  total="${total:-0}" good="${good:-0}" executed="${executed:-0}"
  bad=$((executed - good))
  [ "$executed" -lt "$total" ] && loud "$name: $((total - executed)) tests SKIPPED."
  if { [ "$code" -ne 0 ] || [ "$total" -eq 0 ]; } && [ "$bad" -eq 0 ]; then
    loud "$name crashed or ran nothing (exit code $code)."
    bad=1
  fi
  passed=$((passed + good)) failed=$((failed + bad))
done

# Each `Class.Method` the hazard log names must have run and passed: a control nobody saw work is none.
sed 's/&quot;/"/g' "$results"/*.trx 2>/dev/null | grep -oE '<UnitTestResult [^>]*outcome="Passed"' | sed -E 's/.* testName="([^"(]*).*/\1/' >"$results/ran"
while read -r sentence; do
  grep -qE "\.${sentence//_/[ _]}\$" "$results/ran" && continue
  loud "The hazard log names a test that did not run or did not pass: $sentence"
  failed=$((failed + 1))
done < <(grep '^| H' docs/safety/hazard-log.md | sed -E 's/ *\|? *$//; s/.*\|//' | grep -oE '`[A-Za-z0-9_]+\.[A-Za-z0-9_]+`' | tr -d '`' | sed 's/.*\.//' | sort -u)
finish
