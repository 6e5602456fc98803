using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.AspNetCore.Mvc;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;
using NodaTime;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Who is on call when, what is wrong with it in the next 14 days, and the forms that change it.</summary>
internal sealed class IndexModel(PortalDb db, ChangeRota change, SendTestPage test, TimeProvider time) : PageModel
{
    /// <summary>How far ahead gaps and overlaps are looked for.</summary>
    public static readonly Duration LookAhead = Duration.FromDays(14);

    private const int ChangesShown = 30;

    public sealed record Line(Guid Id, string Person, string From, string To, int Order, bool Holds);

    public IReadOnlyList<Line> Shifts { get; private set; } = [];
    /// <summary>Who is away, now or later.</summary>
    public IReadOnlyList<(Guid Id, string Person, string Span)> Away { get; private set; } = [];
    /// <summary>Names of those on call now to whom no page was ever shown to come through; empty: nobody.</summary>
    public string Unproven { get; private set; } = "";
    public IReadOnlyList<ContactWords> Contacts { get; private set; } = [];
    public bool MaySendTest => User.IsInRole(AccessGate.LeadRole);
    public IReadOnlyList<string> Flaws { get; private set; } = [];
    /// <summary>What was changed of late and by whom, the latest first, in words.</summary>
    public IReadOnlyList<string> Changes { get; private set; } = [];
    public IReadOnlyList<(string Id, string Name)> People { get; private set; } = [];
    public string Zone { get; private set; } = "";
    public IReadOnlyDictionary<string, string> Faults { get; private set; } = new Dictionary<string, string>();

    [BindProperty] public string? Person { get; set; }
    [BindProperty] public string? From { get; set; }
    [BindProperty] public string? To { get; set; }
    [BindProperty] public int Order { get; set; } = 1;
    [BindProperty] public string? AwayPerson { get; set; }
    [BindProperty] public string? AwayFrom { get; set; }
    [BindProperty] public string? AwayTo { get; set; }

    public Task OnGetAsync(CancellationToken stop) => Load(stop);

    public async Task<IActionResult> OnPostAddAsync(CancellationToken stop) => await Answer(await change.Add(Person, From, To, Order, User.StaffId, stop), stop);

    public async Task<IActionResult> OnPostSwapAsync(Guid id, CancellationToken stop) => await Answer(await change.Swap(id, Person, User.StaffId, stop), stop);

    public async Task<IActionResult> OnPostLeaveAsync(Guid id, CancellationToken stop) => await Answer(await change.Leave(id, User.StaffId, stop), stop);

    public async Task<IActionResult> OnPostAwayAsync(CancellationToken stop) => await Answer(await change.Away(AwayPerson, AwayFrom, AwayTo, User.Identity!.Name!, User.StaffId, stop), stop);

    public async Task<IActionResult> OnPostBackAsync(Guid id, CancellationToken stop) => await Answer(await change.Back(id, stop), stop);

    public async Task<IActionResult> OnPostTestAsync(string? id, CancellationToken stop)
    {
        if (!MaySendTest || (await db.StaffToPage(stop)).FirstOrDefault(s => s.Id == id) is not { } person) return NotFound();
        await test.Run(person.Id, person.PageNumber, $"now:{Guid.CreateVersion7()}", time.GetCurrentInstant(), stop);
        await db.SaveChangesAsync(stop);
        return RedirectToPage();
    }

    private async Task<IActionResult> Answer(ChangeRota.Outcome outcome, CancellationToken stop)
    {
        if (outcome is ChangeRota.Outcome.NotFound) return NotFound();
        if (outcome is not ChangeRota.Outcome.Faulty faulty) return RedirectToPage();
        Faults = faulty.Faults;
        await Load(stop);
        return Page();
    }

    private async Task Load(CancellationToken stop)
    {
        var now = time.GetCurrentInstant();
        Zone = await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop);
        var zone = DateTimeZoneProviders.Tzdb[Zone];
        People = [.. (await db.StaffToPage(stop)).Select(s => (s.Id, s.FullName))];
        var names = await db.NamesOfStaff(stop);
        var shifts = (await db.ShiftsThatCount(now, stop)).OrderBy(s => s.From).ThenBy(s => s.Order).ToList();
        Shifts = [.. shifts.Select(s => new Line(s.Id, names.Of(s.Person), FlawWords.Wall(s.From, zone), FlawWords.Wall(s.To, zone), s.Order, s.AsShift().Holds(now)))];
        Away = [.. (await db.AbsencesFrom(now, stop)).Select(a => (a.Id, names.Of(a.Person), FlawWords.Span(a.From, a.To, zone)))];
        Changes = [.. (await db.RotaChanges.AsNoTracking().OrderByDescending(c => c.At).ThenByDescending(c => c.Id).Take(ChangesShown).ToListAsync(stop))
            .Select(c => $"{FlawWords.Wall(c.At, zone)}: {names.Of(c.Person)} {(c.What is RotaChange.PutOn ? "put on" : "taken off")} {FlawWords.Span(c.From, c.To, zone)}, by {names.Of(c.By)}")];
        var numbers = (await db.OnCallAt(now, stop)).Numbers.Where(n => People.Any(p => p.Id == n.Key)).ToDictionary();
        Contacts = [.. (await db.ContactStates(numbers, now, stop)).Select(c => ContactWords.Of(c, names, zone)).OrderByDescending(c => c.Troubles.Count > 0).ThenBy(c => c.Name)];
        var unproven = Contacts.Where(c => !c.EverProven && shifts.Exists(s => s.Person == c.Person && s.AsShift().Holds(now))).Select(c => c.Name);
        Unproven = string.Join(", ", unproven);
        Flaws = [.. new Clinical.Escalations.Rota([.. shifts.Select(s => s.AsShift())], []).FlawsBetween(now, now + LookAhead).Select(f => FlawWords.Of(f, zone, names))];
    }
}
