#!/usr/bin/env bash
# Starts the portal with the invented clinic on SQLite, and the loopback phone.
set -euo pipefail
cd "$(dirname "$0")/../.."
command -v dotnet >/dev/null || { echo "The .NET 10 SDK (dotnet) is not installed."; exit 2; }
exec dotnet run --project src/AftercarePortal.Demo -v q --no-launch-profile -- "$PWD/var/demo"
