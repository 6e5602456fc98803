using System.Globalization;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>The clinic's patients, found by part of a name or number.</summary>
internal sealed class IndexModel(PortalDb db) : PageModel
{
    private const int Most = 50;

    [BindProperty] public string? Wanted { get; set; }
    public IReadOnlyList<PatientRow> Found { get; private set; } = [];
    public bool More { get; private set; }

    public Task OnGetAsync(CancellationToken stop) => Find(stop);

    public Task OnPostAsync(CancellationToken stop) => Find(stop);

    private async Task Find(CancellationToken stop)
    {
        var patients = db.Patients.AsNoTracking();
        var name = Wanted?.Trim().ToLowerInvariant() ?? "";
        var digits = new string([.. name.Where(char.IsAsciiDigit)]);
        if (digits.Length >= 4) patients = patients.Where(p => p.Number.Contains(digits));
        else if (name.Length > 0)
        {
            // SQLite knows small letters of ASCII only: as typed, and as names are written, too.
            var (typed, asNames) = (Wanted!.Trim(), CultureInfo.InvariantCulture.TextInfo.ToTitleCase(name));
            patients = patients.Where(p => p.Name.ToLower().Contains(name) || p.Name.Contains(typed) || p.Name.Contains(asNames));
        }

        var rows = await patients.OrderBy(p => p.Name).ThenBy(p => p.Id).Take(Most + 1).ToListAsync(stop);
        (Found, More) = ([.. rows.Take(Most)], rows.Count > Most);
    }
}
