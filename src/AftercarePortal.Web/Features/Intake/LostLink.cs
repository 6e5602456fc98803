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
internal sealed class LostLink(PortalDb db, ClinicScope scope, IReachSender reach, IOptions<CarrierOptions> reachedAt, TimeProvider time)
{
    /// <summary>Most links texted about one intake in a day, whoever asks.</summary>
    public const int MostADay = 3;

    /// <summary>The question whose answer shows that the number is this person's: a number is typed by hand, and may be somebody else's.</summary>
    public const string BirthDate = "birth-date";

    /// <summary>Has a link texted to this number, when it is that of somebody born that day who sent an intake, texts to it are agreed to and were not stopped, and the page still opens; the caller is not told.</summary>
    /// <remarks>The link is made when the text may go, so that the one before opens the page until then, also through a night. Who asks again meanwhile gets that one.</remarks>
    public async Task Ask(ClinicRow clinic, string number, LocalDate born, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        scope.Enter(clinic.Id);
        var (intakes, answers) = (db.Intakes, db.IntakeAnswers);
        var ofPatients = await reach.IntakesOf(number, stop);
        var sent = await (
            from one in intakes
            join answer in answers on one.Id equals answer.IntakeId
            where (one.Number == number || ofPatients.Contains(one.Id)) && one.SubmittedAt != null && one.EndsAt > now && answer.LinkId == BirthDate && answer.State == AnswerState.Answered
            orderby one.SubmittedAt descending
            select new { Intake = one, answer.Typed }).AsNoTracking().ToListAsync(stop);
        IntakeRow? intake = null;
        foreach (var one in sent.Where(s => Typed.FromJson(s.Typed).AsDay() == born).Select(s => s.Intake))
            if (await reach.Of(one, stop) is { MayText: true } reached && reached.Number == number)
            {
                intake = one;
                break;
            }

        if (intake is null || await SendLink.HadEnough(db, intake.Id, now, stop)) return;
        var (of, subject) = ($"{intake.Id}:", SendLink.SubjectOf(intake.Id, now));
        if (await db.Jobs.AnyAsync(j => j.Kind == SendLink.JobKind && (j.Subject == subject || (j.Subject.StartsWith(of) && j.DoneAt == null && j.ParkedAt == null)), stop) || await db.Outgoing.AnyAsync(o => o.Key == SendLink.KeyOf(subject), stop)) return;
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

/// <summary>Makes the new link and its text in one save, the link sealed. A second run finds the text and does nothing. Where no text may go no link is made: the one before stays.</summary>
internal sealed class SendLink(PortalDb db, IReachSender reach, ContentLibrary content, SealedWords words, IOptions<CarrierOptions> reachedAt, TimeProvider time) : IJobHandler
{
    /// <summary>Subject: the intake's id and the hour it was asked in, for at most one an hour.</summary>
    public const string JobKind = "send-link";

    public string Kind => JobKind;

    public static string SubjectOf(Guid intake, Instant now) => $"{intake}:{now.ToUnixTimeSeconds() / 3600}";

    /// <summary>Key of the text.</summary>
    public static string KeyOf(string subject) => $"link:{subject}";

    /// <summary>Whether as many links as one day takes were texted about this intake, whatever became of them.</summary>
    public static async Task<bool> HadEnough(PortalDb db, Guid intake, Instant now, CancellationToken stop)
    {
        var (all, dayAgo) = (KeyOf($"{intake}:"), now - Duration.FromDays(1));
        return await db.Outgoing.CountAsync(o => o.Key.StartsWith(all) && o.MadeAt > dayAgo, stop) >= LostLink.MostADay;
    }

    public async Task Run(string subject, CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        var id = Guid.Parse(subject.Split(':')[0]);
        if (await db.Outgoing.AnyAsync(o => o.Key == KeyOf(subject), stop)) return;
        if (await db.Intakes.SingleOrDefaultAsync(i => i.Id == id && i.SubmittedAt != null && i.EndsAt > now, stop) is not { } intake) return;
        // Asked once more: in the night there may have come a STOP, another number, or links asked for before.
        if (await HadEnough(db, id, now, stop) || await reach.Of(intake, stop) is not { MayText: true } reached) return;
        var clinic = await db.Clinics.SingleAsync(c => c.Id == intake.ClinicId, stop);
        // A new link ends the one before, so it is made when its text can go and not a night ahead of it.
        if (new QuietHours(clinic.QuietFrom, clinic.QuietTo).MoveOut(now, DateTimeZoneProviders.Tzdb[clinic.Zone]) is var goes && goes > now)
        {
            db.Enqueue(JobKind, subject, goes, JobTable.EverydayLane);
            await db.SaveChangesAsync(stop);
            return;
        }

        var link = LostLink.Renew(db, intake, by: null, reachedAt.Value.PublicUrl, now);
        var values = new Dictionary<string, string> { ["clinic"] = clinic.Name, ["clinic-line"] = clinic.ClinicLine, ["emergency"] = clinic.EmergencyNumber, ["link"] = words.Seal(link) };
        await db.QueueOnce(KeyOf(subject), OutgoingKind.Notice, clinic.PatientNumber, reached.Number, content.Texts.In(intake.Language).Fill("new-link", values), now, stop);
        await db.SaveChangesAsync(stop);
    }
}
