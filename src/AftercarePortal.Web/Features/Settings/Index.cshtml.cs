using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>The clinic's settings, for whoever leads the practice.</summary>
internal sealed class IndexModel(PortalDb db, ContentLibrary content, SaveSettings save) : PageModel
{
    [BindProperty] public SettingsForm Form { get; set; } = new();
    public IReadOnlyList<string> Faults { get; private set; } = [];
    public bool Saved { get; private set; }
    public IEnumerable<string> PriceLists => content.PriceLists.Keys;
    public string PatientNumber { get; private set; } = "";
    public string PageNumber { get; private set; } = "";
    public string Slug { get; private set; } = "";

    public async Task OnGetAsync(CancellationToken stop) => Form = SettingsForm.Of(await Load(stop));

    public async Task OnPostAsync(CancellationToken stop)
    {
        Faults = await save.Run(Form, User.Identity!.Name!, stop);
        Saved = Faults.Count == 0;
        await Load(stop);
    }

    private async Task<ClinicRow> Load(CancellationToken stop)
    {
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        (PatientNumber, PageNumber, Slug) = (clinic.PatientNumber, clinic.PageNumber, clinic.Slug);
        return clinic;
    }
}
