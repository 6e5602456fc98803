using AftercarePortal.Web.Features.Shared;
using System.Diagnostics;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>One patient's entry, and how it stood before.</summary>
internal sealed class EditModel(PortalDb db, SavePatient save) : PageModel
{
    [BindProperty] public string? Name { get; set; }
    /// <summary>As typed; without a country code that of the clinic is meant.</summary>
    [BindProperty] public string? Number { get; set; }
    /// <summary>Date of birth, ISO; empty: not known.</summary>
    [BindProperty] public string? Born { get; set; }
    /// <summary>The patient agreed to care texts.</summary>
    [BindProperty] public bool Agreed { get; set; }
    /// <summary>The number, E.164, the page asked agreement for anew; null: it did not.</summary>
    [BindProperty] public string? AgreedFor { get; set; }
    /// <summary>Language of care texts: <c>en</c> or <c>es</c>.</summary>
    [BindProperty] public string? Language { get; set; }
    /// <summary>The <see cref="PatientRow.Mark"/> of the entry the page showed; null: somebody new.</summary>
    [BindProperty] public string? Seen { get; set; }
    /// <summary>Id somebody new will have.</summary>
    [BindProperty] public Guid NewId { get; set; }
    /// <summary>How the entry stands when it was changed since the page was opened, or null.</summary>
    public PatientRow? Now { get; private set; }
    /// <summary>The page adds somebody.</summary>
    public bool IsNew { get; private set; }
    /// <summary>What is wrong with name or number; null: nothing.</summary>
    public SavePatient.Outcome.Refused? Wrong { get; private set; }
    /// <summary>Who else has this entry's number, by name; empty: nobody, or somebody new is to be added.</summary>
    public IReadOnlyList<PatientRow> Sharing { get; private set; } = [];
    /// <summary>How the entry stood after each change, a line each, the latest first.</summary>
    public IReadOnlyList<string> Changes { get; private set; } = [];

    public async Task<IActionResult> OnGetAsync(Guid? id, CancellationToken stop)
    {
        NewId = Guid.CreateVersion7();
        if (id is null) return await Show(id, stop);
        if (await db.Patients.AsNoTracking().SingleOrDefaultAsync(p => p.Id == id, stop) is not { } row) return NotFound();
        (Name, Number, Agreed, Language, Born, Seen) = (row.Name, row.Number, row.AgreedToTextsAt is not null, row.Language, row.BornOn is { } born ? LocalDatePattern.Iso.Format(born) : null, row.Mark());
        return await Show(id, stop);
    }

    public async Task<IActionResult> OnPostAsync(Guid? id, CancellationToken stop)
    {
        switch (await save.Run(id, NewId, Seen, Name, Number, Agreed, Language, User.Identity!.Name!, stop, AgreedFor, Born))
        {
            case SavePatient.Outcome.Saved saved: return RedirectToPage("Edit", new { id = saved.Id });
            case SavePatient.Outcome.NotFound: return NotFound();
            case SavePatient.Outcome.Meanwhile other:
                (Now, Seen) = (other.Now, other.Now.Mark());                       // keeping once more is meant
                return await Show(id, stop);
            case SavePatient.Outcome.Refused refused:
                Wrong = refused;
                if (refused.Agreement is not null) (Agreed, AgreedFor) = (false, refused.AskedFor);
                return await Show(id, stop);
            default: throw new UnreachableException();
        }
    }

    private async Task<IActionResult> Show(Guid? id, CancellationToken stop)
    {
        IsNew = id is null;
        var number = await db.Patients.Where(p => p.Id == id).Select(p => p.Number).SingleOrDefaultAsync(stop);
        if (number is { Length: > 0 }) Sharing = await db.Patients.AsNoTracking().Where(p => p.Number == number && p.Id != id).OrderBy(p => p.Name).ThenBy(p => p.Id).ToListAsync(stop);
        var zone = DateTimeZoneProviders.Tzdb[await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop)];
        var rows = await db.PatientChanges.AsNoTracking().Where(c => c.PatientId == id).OrderByDescending(c => c.ChangedAt).ToListAsync(stop);
        Changes = [.. rows.Select(c =>
            $"{Plain.Time(c.ChangedAt.InZone(zone))}, {c.ChangedBy}: {c.Name}, {c.Number}, {(c.AgreedToTextsAt is null ? "no care texts" : "care texts agreed")}{(c.BornOn is { } born ? $", born {Plain.Day(born)}" : "")}{(c.Language is null ? "" : $", in {Plain.LanguageName(c.Language)}")}")];
        return Page();
    }
}
