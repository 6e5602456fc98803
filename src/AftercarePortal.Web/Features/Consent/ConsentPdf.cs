using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Intake;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>A signed consent as a tagged PDF in the language it was read in, made from the bytes that were kept.</summary>
internal static class ConsentPdf
{
    public static void MapConsentPdf(this IEndpointRouteBuilder app) => app.MapGet("/Consent/Signed/{id:guid}/Pdf", async (Guid id, PortalDb db, ContentLibrary content, ClinicClock clock, CancellationToken stop) =>
        await db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop) is { } consent ? Results.File(Pdf(consent, content, await clock.ForDocuments()), "application/pdf", "consent.pdf") : Results.NotFound());

    /// <summary>Who signed and when, on whose screen, and whether and how it was withdrawn: a sentence each.</summary>
    /// <param name="when">Says an instant.</param>
    /// <param name="day">Says a date.</param>
    public static IReadOnlyList<string> Signatures(ConsentRow consent, PageWords say, Func<Instant, string> when, Func<LocalDate, string> day) =>
    [.. new[]
    {
        say.Say("print-patient", consent.SignedAs, when(consent.SignedAt)),
        say.Say("print-handed-over", consent.HandedOverBy),
        consent.SignedByClinician ? say.Say("print-clinician", consent.Clinician!, when(consent.ClinicianSignedAt!.Value)) : consent.AwaitsClinician ? say["print-no-clinician"] : "",
        say.Say("print-from", day(consent.From)),
        consent.WithdrawnAt is { } withdrawn ? say.Say("print-withdrawn", when(withdrawn), consent.WithdrawnWith!) : "",
        consent is { WithdrawnSaidBy: { } saidBy, WithdrawnTold: { } told } ? say.Say("print-withdrawn-said", saidBy, say["told-" + Plain.Words(told).Replace(' ', '-')]) : "",
        consent.WithdrawnWords is { Length: > 0 } words ? say.Say("print-withdrawn-words", words) : "",
    }.Where(part => part.Length > 0)];

    private static byte[] Pdf(ConsentRow consent, ContentLibrary content, Func<Instant, string> when)
    {
        var say = content.WordsHandedOver(consent.Language);
        using var sheet = new PrintedSheet(say["print-consent"], consent.Language);
        sheet.Title(consent.Title);
        sheet.Print(ConsentDocument.BlocksOf(consent.Bytes));
        sheet.Heading(say["print-signatures"]);
        sheet.Strong(string.Join(' ', Signatures(consent, say, when, day => AnswerWords.OfDate(day, content.Pages[consent.Language]))));
        sheet.Paragraph(say.Say("print-document", consent.DocumentId, consent.Version, ReadText.Spaced(consent.Hash)));
        return sheet.Bytes();
    }
}
