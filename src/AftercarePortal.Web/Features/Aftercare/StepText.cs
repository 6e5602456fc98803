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

    public async Task<IReadOnlyDictionary<Guid, LastLook>> At(IReadOnlyList<OutgoingRow> texts, Instant now, CancellationToken stop)
    {
        var ids = texts.Select(StepOf).OfType<Guid>().ToList();
        if (ids.Count == 0) return new Dictionary<Guid, LastLook>();
        var steps = await db.Steps.Where(s => ids.Contains(s.Id)).ToDictionaryAsync(s => s.Id, stop);
        var facts = await mayGo.About([.. steps.Values.Where(s => s.State is StepState.Sent)], now, stop);
        return texts.Where(t => StepOf(t) is { } id && steps.ContainsKey(id)).ToDictionary(t => t.Id, t => At(t, steps[StepOf(t)!.Value], facts, now));
    }

    // What counts is when another text really went: both may have been let go long ago, or by two workers in one moment. This one waits, and is not among those that went.
    private LastLook At(OutgoingRow text, StepRow step, IReadOnlyDictionary<Guid, MayGo.Facts> known, Instant now)
    {
        if (step.State is not StepState.Sent) return new LastLook.Never();          // a later treatment's plan took over
        var facts = known[step.Id];
        var (state, again) = mayGo.Decide(step, facts, facts.LastWent, now);
        if (again is { } later) return new LastLook.Later(later);
        if (state is not StepState.Sent)
        {
            (step.State, step.StateAt) = (state, now);
            return new LastLook.Never();
        }

        (text.To, text.Text) = (facts.Patient.Number, Words(content, step, facts, now));       // every question above was asked of the number she has now
        return new LastLook.Go();
    }

    private static Guid? StepOf(OutgoingRow text) => text.Key.StartsWith(Prefix, StringComparison.Ordinal) && Guid.TryParse(text.Key[Prefix.Length..], out var id) ? id : null;

    /// <summary>The words of a step as they stand now, with the day it is today.</summary>
    public static string Words(ContentLibrary content, StepRow step, MayGo.Facts facts, Instant now) =>
        content.Texts.In(facts.Patient.Language).FillStep(step.TextId, facts.Clinic, step.DayAt(now, DateTimeZoneProviders.Tzdb[facts.Clinic.Zone]));
}
