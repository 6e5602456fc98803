using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>An account was changed by somebody: its person hears it by text, and the calendar links they had end. May run twice; acts once.</summary>
internal sealed class StaffChanged(PortalDb db, ContentLibrary content, TimeProvider time) : IJobHandler
{
    /// <summary>Id of the text.</summary>
    public const string TextId = "page-staff-changed";

    public string Kind => StaffJobs.Changed;

    public async Task Run(string subject, CancellationToken stop)
    {
        // read
        var (now, id) = (time.GetCurrentInstant(), Guid.Parse(subject));
        var change = await db.StaffChanges.AsNoTracking().SingleAsync(c => c.Id == id, stop);
        var person = await db.StaffOfClinic.AsNoTracking().SingleAsync(s => s.Id == change.StaffId, stop);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        var by = change.By is { } who ? (await db.NamesOfStaff(stop)).Of(who) : clinic.Name;

        // write
        if (change.What is not StaffChange.Added)
            await db.CalendarFeeds.Where(f => (f.MadeBy == person.Id || f.Person == person.Id) && f.MadeAt <= change.At && f.RevokedAt == null).ExecuteUpdateAsync(set => set.SetProperty(f => f.RevokedAt, now), stop);
        var values = new Dictionary<string, string> { ["clinic"] = clinic.Name, ["change"] = change.What.Words, ["by"] = by, ["clinic-line"] = clinic.ClinicLine };
        await db.QueueOnce($"staff-changed:{change.Id}", OutgoingKind.Notice, clinic.PageNumber, person.PageNumber, content.Texts.Fill(TextId, values), now, stop);
        await db.SaveChangesAsync(stop);
    }
}
