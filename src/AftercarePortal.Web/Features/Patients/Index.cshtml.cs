using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>The clinic's patients, found by part of a name or number.</summary>
internal sealed class IndexModel(PortalDb db) : PageModel
{
    private const int Most = 50;

    /// <summary>Part of a name, or four digits or more of a number, as typed; null or empty: everybody.</summary>
    [BindProperty] public string? Wanted { get; set; }
    /// <summary>By name; at most 50.</summary>
    public IReadOnlyList<PatientRow> Found { get; private set; } = [];
    /// <summary>There are more than the page shows.</summary>
    public bool More { get; private set; }

    public Task OnGetAsync(CancellationToken stop) => Find(stop);

    public Task OnPostAsync(CancellationToken stop) => Find(stop);

    private async Task Find(CancellationToken stop)
    {
        var rows = await db.Patients.AsNoTracking().FoundBy(Wanted, await db.ClinicNumber(stop), Most + 1, stop);
        (Found, More) = ([.. rows.Take(Most)], rows.Count > Most);
    }
}
