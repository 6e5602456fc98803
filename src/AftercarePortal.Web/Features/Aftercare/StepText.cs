using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Aftercare;

/// <summary>The text of a step that was let go, asked about right before it goes: minutes or an outage later the patient may have reported something, or been treated again.</summary>
internal sealed class StepText(PortalDb db, MayGo mayGo, ContentLibrary content) : ILastLook
{
    private const string Prefix = "step:";

    /// <summary>Key of the text of a step.</summary>
    public static string Key(Guid step) => $"{Prefix}{step}";

    public async Task<LastLook?> At(OutgoingRow text, Instant now, CancellationToken stop)
    {
        if (!text.Key.StartsWith(Prefix, StringComparison.Ordinal) || !Guid.TryParse(text.Key[Prefix.Length..], out var id) || await db.Steps.SingleOrDefaultAsync(s => s.Id == id, stop) is not { } step) return null;
        if (step.State is not StepState.Sent) return new LastLook.Never();          // a later treatment's plan took over
        var facts = await mayGo.About(step, now, stop);
        var (state, again) = mayGo.Decide(step, facts, now);
        if (again is { } later) return new LastLook.Later(later);
        if (state is not StepState.Sent)
        {
            (step.State, step.StateAt) = (state, now);
            return new LastLook.Never();
        }

        text.Text = Words(content, step, facts, now);
        return new LastLook.Go();
    }

    /// <summary>The words of a step as they stand now, with the day it is today.</summary>
    public static string Words(ContentLibrary content, StepRow step, MayGo.Facts facts, Instant now) =>
        content.Texts.In(facts.Patient.Language).FillStep(step.TextId, facts.Clinic, step.DayAt(now, DateTimeZoneProviders.Tzdb[facts.Clinic.Zone]));
}
