using AftercarePortal.Web.Access;
using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Staff;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime.Extensions;

namespace AftercarePortal.Web.Features.Rota;

/// <summary>The number somebody of staff is paged at, and the ones before it. Whoever leads the practice changes it, with password and code: whoever can send pages elsewhere can silence them.</summary>
internal sealed class NumberModel(PortalDb db, ChangeNumber change, StaffDoor door, ClinicClock clock, TimeProvider time) : PageModel
{
    /// <summary>A number that was given up.</summary>
    public sealed record Earlier(string Number, string Until, string By);

    [BindProperty] public string? Number { get; set; }
    /// <summary>Of whoever changes it.</summary>
    [BindProperty] public string? OwnPassword { get; set; }
    /// <summary>Six digits from the same person's authenticator.</summary>
    [BindProperty] public string? OwnCode { get; set; }
    public string Name { get; private set; } = "";
    public string Now { get; private set; } = "";
    /// <summary>Pages go to this person at this moment.</summary>
    public bool IsOnCall { get; private set; }
    /// <summary>Nobody has taken the test page from the number yet.</summary>
    public bool IsUnproven { get; private set; }
    /// <summary>The latest first.</summary>
    public IReadOnlyList<Earlier> Before { get; private set; } = [];
    /// <summary>Why nothing was changed, in words, and the field it is about; null: nothing was wrong.</summary>
    public (string Field, string Words)? Fault { get; private set; }

    public async Task<IActionResult> OnGetAsync(string person, CancellationToken stop) => await Load(person, stop) ? Page() : NotFound();

    public async Task<IActionResult> OnPostAsync(string person, CancellationToken stop)
    {
        if (!await Load(person, stop)) return NotFound();
        if (!StaffBook.IsNumber(Number?.Replace(" ", "", StringComparison.Ordinal))) Fault = (nameof(Number), StaffBook.WriteANumber);
        else if (!await door.ShowsAgain(HttpContext, OwnPassword, OwnCode)) Fault = (nameof(OwnPassword), StaffDoor.NotShown);
        else
            switch (await change.Run(person, Number, User.StaffId, stop))
            {
                case ChangeNumber.Outcome.Refused refused:
                    Fault = (nameof(Number), refused.Reason);
                    break;
                case ChangeNumber.Outcome.NotFound: return NotFound();
                default: return RedirectToPage(new { person });
            }

        return Page();
    }

    private async Task<bool> Load(string person, CancellationToken stop)
    {
        if ((await db.StaffToPage(stop)).FirstOrDefault(s => s.Id == person) is not { } staff) return false;
        var now = time.GetCurrentInstant();
        var onCall = await db.OnCallAt(now, stop);
        (Name, Now, IsOnCall) = (staff.FullName, staff.PageNumber, onCall.OnCall.InOrder.Contains(person));
        IsUnproven = (await db.ContactStates(new Dictionary<string, string> { [person] = staff.PageNumber }, now, stop)).Any(c => c.Unproven);
        var names = await db.NamesOfStaff(stop);
        var before = new List<Earlier>();
        foreach (var change in await db.NumberChanges.AsNoTracking().Where(c => c.Person == person).OrderByDescending(c => c.ChangedAt).Take(20).ToListAsync(stop))
            before.Add(new(change.Before, await clock.Say(change.ChangedAt), names.Of(change.ChangedBy)));
        Before = before;
        return true;
    }
}
