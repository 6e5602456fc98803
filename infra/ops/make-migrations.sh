#!/usr/bin/env bash
# Regenerates the one migration "Initial" of each database from the model.
# Only before the first release: afterwards add migrations, never regenerate.
set -euo pipefail
cd "$(dirname "$0")/../.."
export DOTNET_CLI_TELEMETRY_OPTOUT=1 DOTNET_NOLOGO=1
project=src/AftercarePortal.Web
dotnet tool restore
rm -rf "$project/Data/Migrations"
dotnet build "$project" -v q
for database in Sqlite Postgres SqlServer; do
  dotnet ef migrations add Initial --no-build --project "$project" --context "${database}PortalDb" \
    --output-dir "Data/Migrations/$database"
done
dotnet build "$project" -v q
for database in Sqlite Postgres SqlServer; do
  dotnet ef migrations has-pending-model-changes --no-build --project "$project" --context "${database}PortalDb"
done
