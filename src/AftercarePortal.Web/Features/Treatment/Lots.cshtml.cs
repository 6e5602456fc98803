using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>Type or scan a lot, see everybody who got it, and approve one text to them.</summary>
internal sealed class LotsModel(PortalDb db, ApproveRecall approve, TimeProvider time) : PageModel
{
    private const int MostLetters = 60, MostMayBe = 20;

    /// <summary>Lot or barcode, as typed or scanned.</summary>
    [BindProperty] public string? Typed { get; set; }
    /// <summary>What was typed is a lot, though it may look like a barcode.</summary>
    [BindProperty] public bool IsLot { get; set; }
    /// <summary>The lot that is looked for; null: none.</summary>
    [BindProperty] public string? Lot { get; set; }
    /// <summary>Id the recall will have, given when the page was shown.</summary>
    [BindProperty] public Guid RecallId { get; set; }
    /// <summary>How many patients the page showed.</summary>
    [BindProperty] public int Patients { get; set; }
    /// <summary>The text was ticked as approved.</summary>
    [BindProperty] public bool Approved { get; set; }
    /// <summary>Everybody who got the lot, by name; null: none was looked for.</summary>
    public IReadOnlyList<LotPatient>? Found { get; private set; }
    /// <summary>Where else the lot is named, without a placement that counts.</summary>
    public IReadOnlyList<LotTrace> Traces { get; private set; } = [];
    /// <summary>Each lot a barcode may be of that names no sure one, with how many patients got it and where else it is named; empty: it named one, or none was looked for.</summary>
    public IReadOnlyList<(string Lot, int Patients, int Traces)> MayBe { get; private set; } = [];
    /// <summary>How many of those found an earlier recall of the lot reached: they are not texted again.</summary>
    public int Before { get; private set; }
    /// <summary>Recalls so far, the latest first; at most 50.</summary>
    public IReadOnlyList<RecallRow> Earlier { get; private set; } = [];
    /// <summary>Lots recalled before with patients no recall of them lists, and how many.</summary>
    public IReadOnlyList<(RecallRow Recall, int Patients)> Missing { get; private set; } = [];
    /// <summary>The text as it would go out, in each language; empty while no lot is looked for.</summary>
    public string Text { get; private set; } = "";
    /// <summary>Why nothing was found or approved, in words; null: nothing was wrong.</summary>
    public string? Refusal { get; private set; }

    public Task<IActionResult> OnGetAsync(CancellationToken stop) => Show(stop);

    /// <summary>Everybody who got the lot. A form, not an address: no lot stands in a browser's history.</summary>
    public async Task<IActionResult> OnPostAsync(CancellationToken stop)
    {
        Lot = IsLot && !string.IsNullOrWhiteSpace(Typed) ? Typed.Trim() : await LotOf(Typed, stop);
        return await Show(stop);
    }

    public async Task<IActionResult> OnPostMessageAsync(CancellationToken stop)
    {
        if (Lot is not { Length: > 0 and <= MostLetters }) return await Show(stop);
        switch (await approve.Run(RecallId, Lot, Patients, Approved, User.Identity!.Name!, stop))
        {
            case ApproveRecall.Outcome.Approved: return RedirectToPage("Recall", new { id = RecallId });
            case ApproveRecall.Outcome.Meanwhile: Refusal = "The list has changed since you opened it. Look again, then approve."; break;
            case ApproveRecall.Outcome.NobodyGotIt: Refusal = "Nobody got this lot."; break;
            default: Refusal = "Tick that you approve the text."; break;
        }

        return await Show(stop);
    }

    private async Task<string?> LotOf(string? typed, CancellationToken stop)
    {
        var text = typed?.Trim() ?? "";
        if (text.Length == 0) Refusal = "Type or scan a lot.";
        if (text.Length == 0) return null;
        var clinic = await db.Clinics.SingleAsync(c => c.Id == db.ClinicId, stop);
        var today = time.GetCurrentInstant().InZone(DateTimeZoneProviders.Tzdb[clinic.Zone]).Date;
        // A lot may look like an element string ("10…"), so only what carries a product number, an expiry or parentheses is taken for a barcode.
        var marked = text[0] is '(' or ']';
        switch (Gs1Pack.Read(text, today))
        {
            case Gs1Pack.Outcome.Made { Pack: { Lot: { } lot } pack } when marked || (pack.Gtin ?? pack.Serial ?? pack.Expiry?.ToString()) is not null: return lot;
            case Gs1Pack.Outcome.Made { Pack: { Lot: null, Gtin: not null } }: Refusal = "This barcode names no lot. Type the lot from the pack."; return null;
            case Gs1Pack.Outcome.Doubtful { Ways: var ways } when marked || ways.Any(way => way.Gtin is not null || way.Expiry is not null):
                Refusal = $"No lot is taken from it: {ScanReading.RunTogether(ways)}";
                MayBe = await LotsItMayBeOf([.. ways.Select(way => way.Lot).OfType<string>(), .. marked || ways[0].Gtin is not null || text.Length > MostLetters ? [] : new[] { text }], stop);
                return null;
            case Gs1Pack.Outcome.Refused { Why: var why } when marked && why is not Gs1Fault.NotGs1: Refusal = $"Not searched: {ScanReading.Words(why)}"; return null;
        }

        if (text.Length <= MostLetters) return text;
        Refusal = "This is no barcode that can be read here, and too long for a lot. Type the lot from the pack.";
        return null;
    }

    private async Task<IReadOnlyList<(string Lot, int Patients, int Traces)>> LotsItMayBeOf(IEnumerable<string> lots, CancellationToken stop)
    {
        var found = new List<(string, int, int)>();
        foreach (var lot in lots.DistinctBy(LotKey.Of).Take(MostMayBe)) found.Add((lot, (await db.PatientsOfLot(lot, stop)).Count, (await db.TracesOfLot(lot, stop)).Count));
        return found;
    }

    private async Task<IActionResult> Show(CancellationToken stop)
    {
        ModelState.Clear();
        Earlier = await db.Recalls.AsNoTracking().OrderByDescending(r => r.ApprovedAt).Take(50).ToListAsync(stop);
        Missing = [.. (await db.NobodyListed(only: null, stop)).Select(lot => (lot.Recall, lot.Patients.Count))];
        if (Lot is not { Length: > 0 and <= MostLetters }) return Page();
        Found = await db.PatientsOfLot(Lot, stop);
        Patients = Found.Count;
        Traces = await db.TracesOfLot(Lot, stop);
        var before = await db.ReachedBefore(Lot, stop);
        Before = Found.Count(p => before.Contains(p.Id));
        RecallId = Guid.CreateVersion7();
        Text = await approve.Text(stop);
        return Page();
    }
}
