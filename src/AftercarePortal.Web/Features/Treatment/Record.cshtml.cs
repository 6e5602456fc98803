using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Patients;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;
using NodaTime.Text;
using System.Diagnostics;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Write and sign a treatment record of one patient; keeps what was typed when it cannot be signed.</summary>
internal sealed class RecordModel(PortalDb db, SignRecord sign, TimeProvider time) : PageModel
{
    private const int MostLines = 40;

    [BindProperty] public Guid RecordId { get; set; }
    [BindProperty] public string? TreatedOn { get; set; }
    [BindProperty] public List<PlacementForm> Lines { get; set; } = [];
    public string PatientName { get; private set; } = "";
    /// <summary>Whom a record can be written for; filled when the address names nobody.</summary>
    public IReadOnlyList<PatientRow> Patients { get; private set; } = [];
    public IReadOnlyList<string> Reasons { get; private set; } = [];
    public static IEnumerable<string> Products => Enum.GetValues<ProductClass>().Select(p => p.Name());

    public async Task<IActionResult> OnGetAsync(Guid? id)
    {
        if (id is null)
        {
            Patients = await db.Patients.AsNoTracking().OrderBy(p => p.Name).ToListAsync();
            return Page();
        }

        RecordId = Guid.CreateVersion7();
        if (await Today() is not { } today) return NotFound();
        TreatedOn = LocalDatePattern.Iso.Format(today);
        return await Show(id, 4);
    }

    /// <summary>More empty lines; nothing is signed.</summary>
    public Task<IActionResult> OnPostMoreAsync(Guid? id) => Show(id, Math.Min(Lines.Count + 4, MostLines));

    /// <summary>Lot and expiry filled from what was scanned; nothing is signed.</summary>
    public async Task<IActionResult> OnPostScanAsync(Guid? id)
    {
        if (await Today() is not { } today) return NotFound();
        Reasons = ScanReading.Fill(Lines, today);
        ModelState.Clear();
        return await Show(id, Lines.Count);
    }

    public async Task<IActionResult> OnPostAsync(Guid? id)
    {
        // Binding stops at the first gap; a placement behind it must not be lost silently.
        var read = Enumerable.Range(0, Lines.Count).Select(i => $"Lines[{i}].").ToList();
        if (Request.Form.Keys.Any(key => key.StartsWith("Lines[", StringComparison.Ordinal) && !read.Exists(line => key.StartsWith(line, StringComparison.Ordinal)))) return BadRequest();
        switch (await sign.Run(RecordId, id ?? Guid.Empty, TreatedOn, Lines, User.Identity!.Name!))
        {
            case SignRecord.Outcome.Signed: return RedirectToPage("Details", new { id = RecordId });
            case SignRecord.Outcome.NotFound: return NotFound();
            case SignRecord.Outcome.Refused refused:
                Reasons = refused.Reasons;
                return await Show(id, Lines.Count);
            default: throw new UnreachableException();
        }
    }

    private async Task<LocalDate?> Today() =>
        await db.Clinics.SingleOrDefaultAsync(c => c.Id == db.ClinicId) is { } clinic ? time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date : null;

    private async Task<IActionResult> Show(Guid? id, int lines)
    {
        if (await db.Patients.SingleOrDefaultAsync(p => p.Id == id) is not { } patient) return NotFound();
        PatientName = patient.Name;
        while (Lines.Count < Math.Max(lines, 1)) Lines.Add(new());
        return Page();
    }
}
