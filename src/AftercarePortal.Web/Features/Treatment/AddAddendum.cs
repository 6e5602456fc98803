using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Adds to a signed record without changing it: words, what of it was written wrongly, or that it does not hold. Whatever acts on the record acts on what is right from then on.</summary>
internal sealed class AddAddendum(PortalDb db, TimeProvider time)
{
    /// <summary>Most letters of one addendum.</summary>
    public const int MostLetters = 4000;

    public abstract record Outcome
    {
        private Outcome() { }
        public sealed record Added : Outcome;
        /// <summary>Nothing is added.</summary>
        public sealed record Refused(string Says) : Outcome;
        /// <summary>Another addendum was added under this id.</summary>
        public sealed record Another : Outcome;
        /// <summary>Addenda were added since the page was opened, the last by this person.</summary>
        public sealed record Meanwhile(string By) : Outcome;
        public sealed record NotFound : Outcome;
    }

    /// <param name="id">Id the form was given; the same sent twice is added once, other words are <see cref="Outcome.Another"/>.</param>
    /// <param name="seen">How many addenda the page showed.</param>
    public async Task<Outcome> Run(Guid id, Guid treatmentId, AddendumForm form, int seen, string writtenBy)
    {
        // read
        var now = time.GetCurrentInstant();
        if (await db.SignedRecord(treatmentId, CancellationToken.None) is not { } record) return new Outcome.NotFound();
        if (form.Corrects is { } ordinal && !record.Placements.Exists(p => p.Ordinal == ordinal)) return new Outcome.NotFound();
        var today = now.InZone(DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == record.ClinicId).Select(c => c.Zone).SingleAsync()]).Date;

        // decide
        var reading = new AddendumReading(record, form, today);
        if (reading.Fault is null && await Known() is { } known) return known;
        if (record.Addenda.Count > seen) return new Outcome.Meanwhile(record.Addenda[^1].WrittenBy);
        if (record.Addenda.Count < seen) return new Outcome.Refused(OpenedAt.Never);
        if ((reading.Fault ?? reading.Idle) is { } fault) return new Outcome.Refused(fault);

        // write
        var row = reading.RowOf(id, writtenBy, now);
        var before = WhatCounts(record);
        record.Addenda.Add(row);
        db.Add(row);
        if (row is not { Corrects: null, RightDay: null, Standing: null }) db.Enqueue(SignRecord.LearnFigures, id.ToString(), now, JobTable.LearningLane);
        if (WhatCounts(record) != before) db.Enqueue(SignRecord.PlanAnew, id.ToString(), now, JobTable.EverydayLane);
        try
        {
            await db.SaveChangesAsync();
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (await Known() is { } other) return other;                          // two taps at once
            throw;
        }

        return new Outcome.Added();

        async Task<Outcome?> Known() =>
            await db.Addenda.AsNoTracking().SingleOrDefaultAsync(a => a.Id == id) is not { } there ? null : reading.IsThe(there) ? new Outcome.Added() : new Outcome.Another();
    }

    // What the texts of a patient hang on.
    private static (bool, LocalDate, string) WhatCounts(TreatmentRow record)
    {
        var right = record.AsPutRight();
        return (record.DoesHold, right.TreatedOn, string.Join(',', right.Placements.Select(p => p.ProductClass).Distinct().Order()));
    }
}
