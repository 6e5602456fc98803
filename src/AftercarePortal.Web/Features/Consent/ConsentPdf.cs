using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using Microsoft.EntityFrameworkCore;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Consent;

/// <summary>A signed consent as a tagged PDF, made from the bytes that were kept.</summary>
internal static class ConsentPdf
{
    public static void MapConsentPdf(this IEndpointRouteBuilder app) => app.MapGet("/Consent/Signed/{id:guid}/Pdf", async (Guid id, PortalDb db, CancellationToken stop) =>
        await db.Consents.AsNoTracking().SingleOrDefaultAsync(c => c.Id == id, stop) is { } consent ? Results.File(Pdf(consent), "application/pdf", "consent.pdf") : Results.NotFound());

    /// <summary>Who signed, when, and whether it was withdrawn.</summary>
    public static string Signatures(ConsentRow consent) =>
        $"Signed by {consent.SignedAs}, and by {consent.Clinician} as clinician, at {InstantPattern.General.Format(consent.SignedAt)} (UTC). Treatment from {LocalDatePattern.Iso.Format(consent.From)}."
        + (consent.WithdrawnAt is { } at ? $" Withdrawn at {InstantPattern.General.Format(at)} (UTC), written down by {consent.WithdrawnWith}." : "");

    private static byte[] Pdf(ConsentRow consent)
    {
        using var sheet = new PrintedSheet("Consent", "en");
        sheet.Title(consent.Title);
        foreach (var block in ConsentDocument.BlocksOf(consent.Bytes))
            if (block.StartsWith("## ", StringComparison.Ordinal)) sheet.Heading(block[3..]);
            else sheet.Paragraph(block);
        sheet.Heading("Signatures");
        sheet.Strong(Signatures(consent));
        sheet.Paragraph($"Document {consent.DocumentId}, version {consent.Version}. SHA-256 of the text as read: {string.Join(' ', consent.Hash.Chunk(16).Select(c => new string(c)))}");
        return sheet.Bytes();
    }
}
