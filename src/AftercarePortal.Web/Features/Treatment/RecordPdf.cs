using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The signed record with its addenda as a tagged PDF, and the drawing of the face.</summary>
internal static class RecordPdf
{
    public static void MapRecordPdf(this IEndpointRouteBuilder app) => app.MapGet("/Treatment/{id}/Pdf", Print);

    public static void MapFace(this IEndpointRouteBuilder app) => app.MapGet("/Treatment/Face.svg", () => TypedResults.Text(FaceMap.Svg(), "image/svg+xml"));

    private static async Task<IResult> Print(Guid id, PortalDb db, ClinicClock clock, CancellationToken stop)
    {
        if (await db.SignedRecord(id, stop) is not { } treatment) return TypedResults.NotFound();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == treatment.ClinicId, stop);
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == treatment.PatientId, stop);
        return TypedResults.File(Pdf(treatment, clinic.Name, patient.Name, await clock.ForDocuments()), "application/pdf", "treatment-record.pdf");
    }

    private static byte[] Pdf(TreatmentRow treatment, string clinic, string patient, Func<Instant, string> when)
    {
        using var sheet = new PrintedSheet("Treatment record", "en");
        sheet.Title("Treatment record");
        if (treatment.WhyNot is { } why) sheet.Strong($"{why} See the addenda.");
        sheet.Paragraph($"{clinic}. Patient: {patient}. Treated on {Plain.Day(treatment.TreatedOn)}{(treatment.AsPutRight().TreatedOn is var day && day != treatment.TreatedOn ? $", put right by an addendum: {Plain.Day(day)}" : "")}.");
        sheet.Paragraph($"Signed by {treatment.SignedBy} at {when(treatment.SignedAt)}. Record {treatment.Id}, number {treatment.Number} of this patient.");
        if (treatment.TouchUpOf is { } first) sheet.Paragraph($"A touch-up of record {first}.");
        if (NoConsentWords.Of(treatment) is { } without) sheet.Strong(without);
        sheet.Heading("Placements");
        if (treatment.WasStopped) sheet.Paragraph("None: the treatment was stopped before anything was placed.");
        foreach (var p in treatment.Placements)
            sheet.Paragraph($"{p.Ordinal}. {Plain.Words(p.Region)}, patient's own {Plain.Words(p.Side)}: {p.ProductClass.Name()}, {p.Amount} ({p.ProductName}), {Plain.Words(p.Plane)}, {p.Device}"
                + $"{(p.EntryPoint.Length > 0 ? $", entry {p.EntryPoint}" : "")}. Lot {p.Lot}, expiry {Plain.Day(p.Expiry)}{(p.Udi is null ? "" : $", barcode {p.Udi}")}.{(treatment.WhatIsRight(p) is { Count: > 0 } right ? $" Put right by an addendum: {string.Join(", ", right)}." : "")}");
        sheet.Heading("Drawn up and placed");
        foreach (var line in RecordTotals.Lines(treatment)) sheet.Paragraph(line);
        sheet.Heading("Immediate events");
        sheet.Paragraph(treatment.Events.Length > 0 ? treatment.Events : "Nothing was written down.");
        if (treatment.RecalledWhy.Length > 0) sheet.Paragraph($"A lot was given that had been recalled: {treatment.RecalledWhy}");
        sheet.Heading("Addenda");
        if (treatment.Addenda.Count == 0) sheet.Paragraph("None.");
        foreach (var a in treatment.Addenda) sheet.Paragraph($"{a.WrittenBy}, {when(a.WrittenAt)}: {a.Text}");
        sheet.Heading("What this is not");
        sheet.Paragraph("It records what was written down. It supports and never replaces the judgment of a licensed clinician, and checks for slips of the pen only.");
        return sheet.Bytes();
    }
}
