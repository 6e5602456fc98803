using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Messages;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Shows the dated texts that signing a record would start, as they would go out, before anybody signs. Stores nothing.</summary>
internal sealed class AftercarePreview(PortalDb db, ContentLibrary content, TimeProvider time)
{
    /// <summary>One text. Merged: it speaks for several products, in place of the sequence's own.</summary>
    public sealed record Text(string When, string Words, bool Merged);

    /// <summary>One text that is not sent by itself.</summary>
    public sealed record LeftOut(string When, string Words, string Why);

    /// <param name="Texts">In order of time.</param>
    /// <param name="LeftOutTexts">What merging left out.</param>
    /// <param name="Notes">What staff must know: products without texts, opposite advice, why nothing would arrive.</param>
    /// <param name="Language">Language they go out in.</param>
    /// <param name="TouchUp">What is not asked for anew because this is a touch-up, in words; null: nothing.</param>
    /// <param name="TakesOver">Whether texts of an earlier treatment are taken over.</param>
    /// <param name="Versions">The files that made it.</param>
    public sealed record Preview(IReadOnlyList<Text> Texts, IReadOnlyList<LeftOut> LeftOutTexts, IReadOnlyList<string> Notes, string Language, string? TouchUp, bool TakesOver, string Versions);

    /// <param name="on">The clinic's local date of treatment.</param>
    /// <param name="touchUpOf">The record it touches up; null: a treatment of its own.</param>
    /// <param name="products">The classes of the record; empty: nothing to show.</param>
    public async Task<Preview?> Run(Guid patientId, LocalDate on, Guid? touchUpOf, IReadOnlyCollection<ProductClass> products, CancellationToken stop)
    {
        if (products.Count == 0) return null;
        var now = time.GetCurrentInstant();
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == patientId, stop);
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == patient.ClinicId, stop);
        var zone = DateTimeZoneProviders.Tzdb[clinic.Zone];
        var records = (await db.RecordsThatHold(patientId, stop)).Where(t => !t.WasStopped).ToList();
        var (earlier, first) = (records.ConvertAll(t => t.Given(records)), GivenRecord.FirstDay(touchUpOf, records));
        var plan = content.Aftercare.PlanFor(new(on, now, products) { TouchesUp = first }, earlier, zone, new(clinic.QuietFrom, clinic.QuietTo));

        var texts = content.Texts.In(patient.Language);
        var notes = new List<string>();
        if (patient.AgreedToTextsAt is null) notes.Add("None of these goes out: this patient has not agreed to care texts. Give the sheet and say in person what each day asks for.");
        else if (await db.HasStopped(patient.Number, stop)) notes.Add($"None of these goes out: {(await db.WrongNumberOf(patient.Number, stop) is null ? "this patient texted STOP" : "a text said that this number is somebody else's")}. Give the sheet and say in person what each day asks for.");
        notes.AddRange(plan.Uncovered.Select(product => $"{product.Name()}: no texts are kept for it. See to this patient's aftercare in person."));
        if (plan.LeftOut.Any(l => l.Why is LeftOutReason.OppositeAdvice)) notes.AddRange(content.Aftercare.Rules.Conflicts.Select(c => c.Says));
        return new(
            [.. plan.Steps.Select(s => new Text(When(s.DueAt), texts.FillStep(s.TextId, clinic, s.Step.Day), s.TextId != s.Step.TextId))],
            [.. plan.LeftOut.Select(l => new LeftOut(When(l.Step.DueAt), texts.FillStep(l.Step.TextId, clinic, l.Step.Step.Day), Why(l, When)))],
            notes, Plain.LanguageName(patient.Language), first is { } day && plan.LeftOut.Any(l => l.Why is LeftOutReason.TouchUp) ? NotAnew(day) : null, earlier.Count > 0, string.Join(", ", plan.From));

        string When(Instant at) => Plain.Weekday(at.InZone(zone));
    }

    private static string NotAnew(LocalDate first) =>
        $"Of what was given before, a touch-up asks for no visits of its own, and photos of the result count from the treatment of {Plain.Day(first)}. Every warning, check-in and tip starts anew; a product given for the first time asks for everything.";

    private static string Why(LeftOutStep step, Func<Instant, string> when) => step.Why switch
    {
        LeftOutReason.SaferStepThatDay => $"another product's text of that day says more that matters{Instead(step, when)}",
        LeftOutReason.WithinAnHour => $"too close to a text that says more that matters{Instead(step, when)}",
        LeftOutReason.SaidShortlyBefore => $"the same text goes out a short time before{Instead(step, when)}",
        LeftOutReason.TouchUp => "a touch-up does not ask for it anew",
        LeftOutReason.OppositeAdvice => "another product asks for the opposite: tell the patient in person",
        _ => $"due before the record is signed{Instead(step, when)}",
    };

    private static string Instead(LeftOutStep step, Func<Instant, string> when) => step.InsteadOfIt is { } other ? $" (sent instead: {when(other.DueAt)})" : "";
}
