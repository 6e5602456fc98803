using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>Shifts from a calendar file: looked at first, then added all together.</summary>
internal sealed class ImportModel(PortalDb db, ChangeRota change, TimeProvider time) : PageModel
{
    /// <param name="Warning">What it overlaps on the rota; null: nothing.</param>
    public sealed record Line(string Title, string Who, string Span, string? Fault, string? Warning);

    [BindProperty] public IFormFile? Calendar { get; set; }
    [BindProperty] public string? Text { get; set; }
    [BindProperty] public string? Person { get; set; }
    [BindProperty] public int Order { get; set; } = 1;
    /// <summary>Shifts the lead takes off the rota with it: the file does not hold them any more.</summary>
    [BindProperty] public List<Guid> Off { get; set; } = [];
    /// <summary>Shifts of the same people and place, in the days of the file, that it does not hold: moved or gone since it was read last.</summary>
    public IReadOnlyList<(Guid Id, string Words)> Vanished { get; private set; } = [];
    public int Removed { get; private set; }
    public IReadOnlyList<Line> Lines { get; private set; } = [];
    public IReadOnlyList<(string Id, string Name)> People { get; private set; } = [];
    public string Zone { get; private set; } = "";
    public string? Fault { get; private set; }
    public int? Added { get; private set; }
    public int Good => Lines.Count(l => l.Fault is null);

    public static string Shifts(int count) => count == 1 ? "1 shift" : $"{count} shifts";

    public Task OnGetAsync(CancellationToken stop) => Read(null, stop);

    public async Task OnPostLookAsync(CancellationToken stop)
    {
        if (Calendar is null || Calendar.Length == 0) Fault = "Choose a calendar file.";
        else if (Calendar.Length > ReadCalendar.Longest) Fault = "This file is too large for a rota.";
        else
        {
            using var reader = new StreamReader(Calendar.OpenReadStream());
            Text = await reader.ReadToEndAsync(stop);
        }

        await Read(Fault is null ? Text : null, stop);
    }

    public async Task OnPostAddAsync(CancellationToken stop)
    {
        var shifts = await Read(Text, stop);
        if (Fault is not null) return;
        Added = await change.AddAll([.. shifts.Select(s => (s.Person!, s.From, s.To))], Order, User.StaffId, stop);
        foreach (var id in Off.Intersect(Vanished.Select(v => v.Id)))
            if (await change.Leave(id, User.StaffId, stop) is ChangeRota.Outcome.Changed) Removed++;
        (Lines, Vanished) = ([], []);
    }

    // Read anew each time: the rota may have changed between looking and adding.
    private async Task<IReadOnlyList<CalendarLine>> Read(string? text, CancellationToken stop)
    {
        Zone = await db.Clinics.Where(c => c.Id == db.ClinicId).Select(c => c.Zone).SingleAsync(stop);
        var zone = DateTimeZoneProviders.Tzdb[Zone];
        var staff = await db.StaffToPage(stop);
        var names = await db.NamesOfStaff(stop);
        People = [.. staff.Select(s => (s.Id, s.FullName))];
        if (Order is < 1 or > 9) Fault ??= "Give a place from 1, paged first, to 9.";
        if (text is null || Fault is not null) return [];
        var person = staff.FirstOrDefault(s => s.Id == Person)?.Id;
        if (!string.IsNullOrEmpty(Person) && person is null)
        {
            Fault = "Choose somebody of your staff.";
            return [];
        }

        var now = time.GetCurrentInstant();
        var (lines, fault) = new ReadCalendar(zone, staff, person, now).Read(text);
        Fault = fault;
        var rota = await db.Shifts.AsNoTracking().Where(s => s.To > now).OrderBy(s => s.From).ToListAsync(stop);
        var held = lines.Where(l => l.Fault is null).Select(l => (Person: l.Person!, l.From, l.To)).ToHashSet();
        var vanished = held.Count == 0 ? [] : rota.FindAll(s =>
            s.Order == Order && held.Any(h => h.Person == s.Person) && s.To > held.Min(h => h.From) && s.From < held.Max(h => h.To) && !held.Contains((s.Person, s.From, s.To)));
        Vanished = [.. vanished.Select(s => (s.Id, $"{names.Of(s.Person)}: {FlawWords.Span(s.From, s.To, zone)}"))];
        var there = rota.Select(s => (s.Person, s.From, s.To)).ToHashSet();
        lines = [.. lines.Select(l => l.Fault is null && !there.Add((l.Person!, l.From, l.To)) ? l with { Fault = "It is on the rota already." } : l)];
        var away = await db.AbsencesFrom(now, stop);
        lines = [.. lines.Select(l => l.Fault is null && away.Find(a => a.Person == l.Person && a.From < l.To && a.To > l.From) is { } a ? l with { Fault = $"Away {FlawWords.Span(a.From, a.To, zone)}." } : l)];
        Lines = [.. lines.Select(l => new Line(l.Title, l.Person is null ? "" : names.Of(l.Person), l.From == Instant.MinValue ? "" : $"{FlawWords.Wall(l.From, zone)} to {FlawWords.Wall(l.To, zone)}", l.Fault, l.Fault is null ? Overlap(l) : null))];
        return [.. lines.Where(l => l.Fault is null)];

        string? Overlap(CalendarLine line) =>
            rota.Find(s => (s.Person == line.Person || s.Order == Order) && s.From < line.To && s.To > line.From) is { } other
                ? $"Overlaps a shift on the rota: {names.Of(other.Person)}, {FlawWords.Span(other.From, other.To, zone)}." : null;
    }
}
