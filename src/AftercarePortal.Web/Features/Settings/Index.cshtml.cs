using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Data;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>The clinic's settings, for whoever leads the practice.</summary>
internal sealed class IndexModel(PortalDb db, ContentLibrary content, SaveSettings save, TimeProvider time) : PageModel
{
    [BindProperty] public SettingsForm Form { get; set; } = new();
    public IReadOnlyList<string> Faults { get; private set; } = [];
    public bool Saved { get; private set; }
    public IEnumerable<string> PriceLists => content.PriceLists.Keys;
    /// <summary>What the clinic's price list cannot answer, a sentence each.</summary>
    public IReadOnlyList<string> Gaps { get; private set; } = [];
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
        if (clinic.PriceList is { } list)
            Gaps = content.PriceLists.TryGetValue(list, out var prices)
                ? PriceListGaps.Of(content.Pricing, prices, time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date)
                : [$"the price list {list} is no longer there"];
        return clinic;
    }
}
