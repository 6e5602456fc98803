using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The aftercare sheet the patient takes home, as a tagged PDF in her language or another that is asked for.</summary>
internal static class SheetEndpoint
{
    public static void MapSheet(this IEndpointRouteBuilder app) => app.MapGet("/Treatment/{id}/Sheet", Print);

    private static async Task<IResult> Print(Guid id, string? language, PortalDb db, ContentLibrary content, CancellationToken stop) =>
        await db.SheetOf(id, language, content, stop) is { } sheet ? TypedResults.File(Pdf(sheet), "application/pdf", "aftercare-sheet.pdf") : TypedResults.NotFound();

    extension(PortalDb db)
    {
        /// <summary>The sheet of a treatment as addenda put it right; null: there is none, or its record does not hold. Without a language in the patient's own.</summary>
        public async Task<SheetText?> SheetOf(Guid id, string? language, ContentLibrary content, CancellationToken stop)
        {
            if (await db.SignedRecord(id, stop) is not { DoesHold: true } signed) return null;
            var treatment = signed.AsPutRight();
            var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId, stop);
            language ??= await db.Patients.Where(p => p.Id == treatment.PatientId).Select(p => p.Language).SingleAsync(stop);
            return new(treatment, clinic, content.Sheet, content.Pages, language);
        }
    }

    private static byte[] Pdf(SheetText text)
    {
        using var sheet = new PrintedSheet(text.Say("title"), text.Language);
        sheet.Title(text.Say("title"));
        sheet.Paragraph(text.Say("treated"));
        sheet.Heading(text.Say("ring"));
        sheet.Strong(text.Say("numbers"));
        sheet.Strong(text.Say("emergency-lead"));
        foreach (var sign in text.Emergency) sheet.Paragraph($"• {sign}");
        sheet.Strong(text.Say("clinic-lead"));
        foreach (var sign in text.RingClinic) sheet.Paragraph($"• {sign}");
        sheet.Heading(text.Say("placed"));
        foreach (var line in text.Placed.Concat(text.Notes)) sheet.Paragraph(line);
        sheet.Heading(text.Say("days"));
        sheet.Paragraph(text.Days);
        sheet.Heading(text.Say("abroad"));
        sheet.Paragraph($"{text.Abroad} {text.Say("abroad-say")}");
        sheet.Heading(text.Say("limits"));
        sheet.Paragraph($"{text.Say("limits-say")} ({text.Version})");
        return sheet.Bytes();
    }
}
