using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Web.Access;
using AftercarePortal.Web.Carrier;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Jobs;
using Microsoft.EntityFrameworkCore;
using Microsoft.Extensions.Options;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>A new private link for somebody who lost theirs. The one before ends; of the new one only the hash is kept.</summary>
internal sealed class LostLink(PortalDb db, ClinicScope scope, IOptions<CarrierOptions> reachedAt, TimeProvider time)
{
    /// <summary>Most links texted about one intake in a day, whoever asks.</summary>
    public const int MostADay = 3;

    /// <summary>The question whose answer shows that the number is this person's: a number is typed by hand, and may be somebody else's.</summary>
    public const string BirthDate = "birth-date";

    /// <summary>Has a link texted to this number, when an intake was sent with it by somebody born that day, texts were agreed to and the page still opens; the caller is not told.</summary>
    /// <remarks>The link is made when the text may go, so that the one before opens the page until then, also through a night.</remarks>
    public async Task Ask(ClinicRow clinic, string number, LocalDate born, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        scope.Enter(clinic.Id);
        var (intakes, answers) = (db.Intakes, db.IntakeAnswers);
        var sent = await (
            from one in intakes
            join answer in answers on one.Id equals answer.IntakeId
            where one.Number == number && one.SubmittedAt != null && one.MayText && one.EndsAt > now && answer.LinkId == BirthDate && answer.State == AnswerState.Answered
            orderby one.SubmittedAt descending
            select new { Intake = one, answer.Typed }).AsNoTracking().ToListAsync(stop);
        if (sent.Find(s => Typed.FromJson(s.Typed).AsDay() == born)?.Intake is not { } intake) return;
        var subject = SendLink.SubjectOf(intake.Id, now);
        var (all, dayAgo) = (SendLink.KeyOf($"{intake.Id}:"), now - Duration.FromDays(1));
        if (await db.Outgoing.CountAsync(o => o.Key.StartsWith(all) && o.MadeAt > dayAgo, stop) >= MostADay) return;
        if (await db.Jobs.AnyAsync(j => j.Kind == SendLink.JobKind && j.Subject == subject, stop) || await db.Outgoing.AnyAsync(o => o.Key == SendLink.KeyOf(subject), stop)) return;
        db.Enqueue(SendLink.JobKind, subject, new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]), JobTable.EverydayLane);
        await db.SaveChangesAsync(stop);
    }

    /// <summary>Makes a link for staff to hand over and keeps who made it; null when there is no such sent intake.</summary>
    /// <param name="by">The staff member.</param>
    public async Task<string?> Make(Guid id, string by, CancellationToken stop)
    {
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null, stop) is not { } intake) return null;
        var link = Renew(db, intake, by, reachedAt.Value.PublicUrl, time.GetCurrentInstant());
        await db.SaveChangesAsync(stop);
        return link;
    }

    /// <summary>Gives a tracked intake a new link, open as long as a first one, and adds who made it; the link is returned and stored nowhere.</summary>
    internal static string Renew(PortalDb db, IntakeRow intake, string? by, string publicUrl, Instant now)
    {
        db.Add(new NewLinkRow { ClinicId = intake.ClinicId, IntakeId = intake.Id, MadeBy = by, MadeAt = now });
        var secret = PatientLink.NewSecret();
        intake.LinkHash = PatientLink.HashOf(secret);
        intake.EndsAt = Instant.Max(intake.EndsAt, now + StartIntake.LinkLasts);
        return $"{publicUrl.TrimEnd('/')}/Intake/{secret}";
    }
}

/// <summary>Makes the new link and its text in one save, the link sealed. A second run finds the text and does nothing.</summary>
internal sealed class SendLink(PortalDb db, ContentLibrary content, SealedWords words, IOptions<CarrierOptions> reachedAt, TimeProvider time) : IJobHandler
{
    /// <summary>Subject: the intake's id and the hour it was asked in, for at most one an hour.</summary>
    public const string JobKind = "send-link";

    public string Kind => JobKind;

    public static string SubjectOf(Guid intake, Instant now) => $"{intake}:{now.ToUnixTimeSeconds() / 3600}";

    /// <summary>Key of the text.</summary>
    public static string KeyOf(string subject) => $"link:{subject}";

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject.Split(':')[0]);
        if (await db.Outgoing.AnyAsync(o => o.Key == KeyOf(subject), stop)) return;
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null && i.MayText && i.EndsAt > now, stop) is not { } intake) return;
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        var link = LostLink.Renew(db, intake, by: null, reachedAt.Value.PublicUrl, now);
        var values = new Dictionary<string, string> { ["clinic"] = clinic.Name, ["clinic-line"] = clinic.ClinicLine, ["emergency"] = clinic.EmergencyNumber, ["link"] = words.Seal(link) };
        await db.QueueOnce(KeyOf(subject), OutgoingKind.Notice, clinic.PatientNumber, intake.Number!, content.Texts.In(intake.Language).Fill("new-link", values), now, stop);
        await db.SaveChangesAsync(stop);
    }
}
