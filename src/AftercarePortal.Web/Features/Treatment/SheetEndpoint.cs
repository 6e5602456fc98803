using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The aftercare sheet the patient takes home, as a tagged PDF.</summary>
internal static class SheetEndpoint
{
    public static void MapSheet(this IEndpointRouteBuilder app) => app.MapGet("/Treatment/{id}/Sheet", Print);

    private static async Task<IResult> Print(Guid id, PortalDb db, CancellationToken stop)
    {
        var treatment = await db.Treatments.AsNoTracking().Include(t => t.Placements.OrderBy(p => p.Ordinal)).SingleOrDefaultAsync(t => t.Id == id, stop);
        if (treatment is null) return TypedResults.NotFound();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId, stop);
        return TypedResults.File(Sheet(treatment, clinic), "application/pdf", "aftercare-sheet.pdf");
    }

    /// <summary>The sheet's bytes. Its warning signs follow the clinical evidence sheet, section 2; most of that is from memory, unchecked.</summary>
    internal static byte[] Sheet(TreatmentRow treatment, ClinicRow clinic)
    {
        using var sheet = new PrintedSheet("Aftercare sheet", "en");
        sheet.Title("Aftercare sheet");
        sheet.Paragraph($"{clinic.Name}. Treated on {LocalDatePattern.Iso.Format(treatment.TreatedOn)}.");
        sheet.Heading("Ring at once");
        sheet.Strong($"Emergency number: {clinic.EmergencyNumber}. The clinic's line: {clinic.ClinicLine}.");
        sheet.Paragraph(
            $"Ring {clinic.EmergencyNumber} at once, then the clinic, for any change of sight, a drooping face or trouble speaking, weakness, "
            + "trouble breathing or swallowing, or swelling of the tongue or throat. Do not wait for a text.");
        sheet.Paragraph(
            "Ring the clinic at once, at any hour, for skin that turns white, grey, blue, dusky or mottled, pain that is strong or growing, "
            + "blisters or broken skin, spreading redness or heat, pus, fever, or anything that worries you. If nobody answers, go to an emergency department and take this sheet.");
        sheet.Heading("What was placed");
        foreach (var p in treatment.Placements)
            sheet.Paragraph($"{p.Ordinal}. {p.ProductClass.Name()}, {p.ProductName}, {p.Amount}, {Plain.Words(p.Region)}, {Plain.Words(p.Side)}. Lot {p.Lot}, expiry {LocalDatePattern.Iso.Format(p.Expiry)}.");
        sheet.Heading("The days after");
        sheet.Paragraph("Follow what your clinician told you. If you agreed to texts, the clinic texts you what each day asks for; reply to them in your own words at any time.");
        sheet.Heading("What this sheet is not");
        sheet.Paragraph("It supports and never replaces the judgment of a licensed clinician, and it cannot tell whether a sign is harmless. Product labelling, local law and your clinic's own instructions come first.");
        return sheet.Bytes();
    }
}
