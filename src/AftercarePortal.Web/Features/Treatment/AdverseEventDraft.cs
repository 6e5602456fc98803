using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Documents;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>A draft of an adverse event report for one treatment, with the fields regulators ask for: what the record knows is filled in, the rest is left to a person. Never sent by itself.</summary>
/// <remarks>Fields: FDA 21 CFR 803.32 (S62b, seen) with the parts A, B and D of Form 3500; MHRA Yellow Card (S64, seen; exact form from memory); EU MDR, UDI, SRN, lot, date, harm (from memory, unchecked): evidence section 7b, every field of it.</remarks>
internal static class AdverseEventDraft
{
    private const string Blank = "________________________________";

    public static void MapAdverseEventDraft(this IEndpointRouteBuilder app) => app.MapGet("/Treatment/{id}/AdverseEvent", Print);

    private static async Task<IResult> Print(Guid id, PortalDb db, ClinicClock clock, CancellationToken stop)
    {
        if (await db.SignedRecord(id, stop) is not { } signed) return TypedResults.NotFound();
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == signed.ClinicId, stop);
        var patient = await db.Patients.AsNoTracking().SingleAsync(p => p.Id == signed.PatientId, stop);
        return TypedResults.File(Pdf(signed, clinic, patient, await clock.ForDocuments()), "application/pdf", "adverse-event-draft.pdf");
    }

    private static byte[] Pdf(TreatmentRow signed, ClinicRow clinic, PatientRow patient, Func<Instant, string> when)
    {
        var treatment = signed.AsPutRight();
        using var sheet = new PrintedSheet("Adverse event report, draft", "en");
        sheet.Title("Adverse event report: draft");
        sheet.Strong("Not sent to anybody. A person completes it, decides whether it is reported, and sends it on the regulator's own form.");
        if (signed.WhyNot is { } why) sheet.Strong(why);
        sheet.Heading("Patient");
        sheet.Paragraph($"Clinic's reference, not the name: {patient.Id}. Age: {Blank} Sex: {Blank} Weight: {Blank}");
        sheet.Heading("Event");
        foreach (var field in new[] { "Adverse event, product problem, or both", "Date of the event", "Date of this report", "What happened, in order", "Outcome (death, life-threatening, hospital, lasting harm, needed intervention, other)", "Tests and findings", "Relevant history, allergies, other medicines and products", "Treatment given, and what came of it" })
            sheet.Paragraph($"{field}: {Blank}");
        sheet.Paragraph($"Immediate events as recorded: {(treatment.Events.Length > 0 ? treatment.Events : "nothing was written down")}");
        sheet.Heading("Products");
        if (signed.Addenda.Exists(a => a is not { Corrects: null, RightDay: null })) sheet.Paragraph("As addenda put them right; what was signed stands in the record.");
        if (signed.WasStopped) sheet.Paragraph($"Nothing was placed: the treatment of {Plain.Day(treatment.TreatedOn)} was stopped before the first deposit. Operator: {treatment.SignedBy}.");
        foreach (var line in signed.WasStopped ? signed.Drawn : []) sheet.Paragraph($"Drawn up, not placed: {line.ProductClass.Name()}, lot {line.Lot}. Product, expiry, UDI: {Blank}");
        foreach (var p in treatment.Placements)
            sheet.Paragraph($"{p.ProductClass.Name()}, {p.ProductName}. Lot {p.Lot}, expiry {Plain.Day(p.Expiry)}, UDI as scanned: {p.Udi ?? Blank} Placed {Plain.Day(treatment.TreatedOn)}, "
                + $"{Plain.Words(p.Region)}, {Plain.Words(p.Side)}, {p.Amount}, {Plain.Words(p.Plane)}, {p.Device}. Operator: {treatment.SignedBy}. Manufacturer, city and state or country: {Blank} Product code or common name, model or catalogue number, serial number: {Blank} EU: single registration number (SRN) of the manufacturer, UDI-DI and UDI-PI: {Blank}");
        sheet.Paragraph($"Removed (explant date) or dissolved on: {Blank} What harm came of it: {Blank} Is the product kept for the manufacturer? {Blank}");
        sheet.Heading("Added to the record since it was signed");
        if (signed.Addenda.Count == 0) sheet.Paragraph("Nothing.");
        foreach (var a in signed.Addenda) sheet.Paragraph($"{a.WrittenBy}, {when(a.WrittenAt)}: {a.Text}");
        sheet.Heading("Reporter");
        sheet.Paragraph($"{clinic.Name}, {clinic.ClinicLine}. Name, occupation, may the manufacturer know it: {Blank}");
        sheet.Heading("Where it can be reported");
        sheet.Paragraph("US: FDA MedWatch, Form 3500, voluntary for health professionals (seen). UK: MHRA Yellow Card; a suspicion is enough (seen; form from memory). EU: manufacturer and national authority under MDR Articles 87 to 89 (from memory, unchecked; take legal advice). A toxin is a medicine: the national channel for medicines, with batch and date.");
        sheet.Paragraph($"Reported to: {Blank} on: {Blank} by: {Blank} Decided not to report, by and why: {Blank}");
        return sheet.Bytes();
    }
}
