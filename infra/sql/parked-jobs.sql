-- Jobs a person must look at: tried eight times, kept, not tried again. Ids and type names only, no words of a patient.
-- Times are Unix milliseconds. Standard SQL with quoted names.
SELECT "Id", "Kind", "Subject", "Attempts", "LastFailure", "ParkedAt" FROM "Jobs" WHERE "ParkedAt" IS NOT NULL AND "DoneAt" IS NULL ORDER BY "ParkedAt";
