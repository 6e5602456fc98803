using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>An accepted plan as a tagged PDF in the language it was read in, made from the bytes that were kept.</summary>
internal static class AcceptedPdf
{
    /// <summary>The file, or 404 where no such acceptance is kept in this clinic.</summary>
    public static async Task<IResult> Print(Guid id, PortalDb db, ContentLibrary content, ClinicClock clock, CancellationToken stop)
    {
        if (await db.PlanAcceptances.AsNoTracking().SingleOrDefaultAsync(a => a.Id == id, stop) is not { } accepted) return Results.NotFound();
        var say = content.WordsHandedOver(accepted.Language);
        using var sheet = new PrintedSheet(say["print-plan"], say.Language);
        sheet.Print(ReadText.BlocksOf(accepted.Bytes));
        sheet.Heading(say["print-signatures"]);
        sheet.Strong(say.Say("plan-accepted", accepted.SignedAs, (await clock.ForDocuments())(accepted.AcceptedAt), accepted.HandedOverBy));
        sheet.Paragraph($"SHA-256 {ReadText.Spaced(accepted.Hash)}");
        return Results.File(sheet.Bytes(), "application/pdf", "plan.pdf");
    }
}
