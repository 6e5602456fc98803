using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Clinical.Intake;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Intake;

/// <summary>An answer typed into a page that was still open after its intake had been sent. It is not added to what the clinic has; a warning sign in it is looked at by whoever is on call.</summary>
internal sealed class LateAnswer(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>Whether it is what was sent: the page came back to somebody who changed nothing.</summary>
    public static bool IsAsSent(OpenIntake.Opened opened, Question question, Typed typed)
    {
        if (!opened.Kept.TryGetValue(question.LinkId, out var row)) return typed with { Unit = "", SaidOn = "" } is { Choices.Count: 0, Text: "", Day: "", Month: "", Year: "", About: "" };
        var sent = Typed.FromJson(row.Typed);
        return (typed with { Unit = sent.Unit, SaidOn = sent.SaidOn }).ToJson() == sent.ToJson();
    }

    /// <summary>Has own words with a warning sign read, once for the same words.</summary>
    public async Task Run(OpenIntake.Opened opened, Question question, Typed typed, CancellationToken stop)
    {
        var words = typed.Text.Trim().WithoutNul();
        if (!question.TakesWords() || !content.SoundsUrgent(words)) return;
        var carrierId = $"late-{opened.Intake.Id:N}-{Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes($"{question.LinkId}\n{words}")))[..16]}";
        await db.BeRead(opened, carrierId, words, time.GetCurrentInstant(), stop);
        try
        {
            await db.SaveChangesAsync(stop);
        }
        catch (DbUpdateException)
        {
            db.ChangeTracker.Clear();
            if (!await db.Messages.AnyAsync(m => m.CarrierId == carrierId, stop)) throw;       // else this is the second of two taps at once
        }
    }
}
