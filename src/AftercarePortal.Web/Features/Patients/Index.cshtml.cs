using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

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
        var rows = await db.FoundBy(Wanted, Most + 1, stop);
        (Found, More) = ([.. rows.Take(Most)], rows.Count > Most);
    }
}
