using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>A signed consent as a tagged PDF in the language it was read in, made from the bytes that were kept.</summary>
internal static class ConsentPdf
{
    public static void MapConsentPdf(this IEndpointRouteBuilder app) => app.MapGet("/Consent/Signed/{id:guid}/Pdf", async (Guid id, PortalDb db, ContentLibrary content, CancellationToken stop) =>
        await db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop) is { } consent ? Results.File(Pdf(consent, content.WordsHandedOver(consent.Language)), "application/pdf", "consent.pdf") : Results.NotFound());

    /// <summary>Who signed, when, and whether it was withdrawn.</summary>
    public static string Signatures(ConsentRow consent, PageWords say) => string.Join(' ', new[]
    {
        say.Say("print-patient", consent.SignedAs, InstantPattern.General.Format(consent.SignedAt)),
        consent is { Clinician: { } clinician, ClinicianSignedAt: { } at } ? say.Say("print-clinician", clinician, InstantPattern.General.Format(at)) : say["print-no-clinician"],
        say.Say("print-from", LocalDatePattern.Iso.Format(consent.From)),
        consent.WithdrawnAt is { } withdrawn ? say.Say("print-withdrawn", InstantPattern.General.Format(withdrawn), consent.WithdrawnWith!) : "",
    }).TrimEnd();

    private static byte[] Pdf(ConsentRow consent, PageWords say)
    {
        using var sheet = new PrintedSheet(say["print-consent"], consent.Language);
        sheet.Title(consent.Title);
        sheet.Print(ConsentDocument.BlocksOf(consent.Bytes));
        sheet.Heading(say["print-signatures"]);
        sheet.Strong(Signatures(consent, say));
        sheet.Paragraph(say.Say("print-document", consent.DocumentId, consent.Version, ReadText.Spaced(consent.Hash)));
        return sheet.Bytes();
    }
}
