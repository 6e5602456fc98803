using System.Diagnostics;
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
    [BindProperty] public string? Seen { get; set; }
    /// <summary>How the settings stand when somebody changed them since the page was opened, or null.</summary>
    public SaveSettings.Outcome.Meanwhile? Meanwhile { get; private set; }
    public IReadOnlyList<string> Faults { get; private set; } = [];
    /// <summary>The latest changes, newest first.</summary>
    public IReadOnlyList<SettingsChange> Changes { get; private set; } = [];
    public bool Saved { get; private set; }
    public IEnumerable<string> PriceLists => content.PriceLists.Keys;
    /// <summary>What the clinic's price list cannot answer, a sentence each.</summary>
    public IReadOnlyList<string> Gaps { get; private set; } = [];
    public string PatientNumber { get; private set; } = "";
    public string PageNumber { get; private set; } = "";
    public string Slug { get; private set; } = "";

    public async Task OnGetAsync(CancellationToken stop)
    {
        Form = SettingsForm.Of(await Load(stop));
        Seen = Form.Mark();
    }

    public async Task OnPostAsync(CancellationToken stop)
    {
        switch (await save.Run(Form, Seen, User.Identity!.Name!, stop))
        {
            case SaveSettings.Outcome.Refused refused: Faults = refused.Faults; break;
            case SaveSettings.Outcome.Meanwhile other:
                (Meanwhile, Seen) = (other, other.Now.Mark());                     // keeping once more is meant
                break;
            case SaveSettings.Outcome.Saved: Saved = true; break;
            default: throw new UnreachableException();
        }

        var clinic = await Load(stop);
        if (Saved) Seen = (Form = SettingsForm.Of(clinic)).Mark();
    }

    private async Task<ClinicRow> Load(CancellationToken stop)
    {
        var clinic = await db.Clinics.AsNoTracking().SingleAsync(c => c.Id == db.ClinicId, stop);
        (PatientNumber, PageNumber, Slug) = (clinic.PatientNumber, clinic.PageNumber, clinic.Slug);
        Changes = await SettingsChange.Latest(db, stop);
        if (clinic.PriceList is { } list)
            Gaps = content.PriceLists.TryGetValue(list, out var prices)
                ? PriceListGaps.Of(content.Pricing, prices, time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date)
                : [$"the price list {list} is no longer there"];
        return clinic;
    }
}
