using AftercarePortal.Web.Data;
using AftercarePortal.Web.Features.Shared;
using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>One account: given a new start, let go or let in again by whoever leads the practice and shows password and code once more. Each act is kept, and the person is told.</summary>
internal sealed class ChangeModel(StaffBook book, StaffDoor door, PortalDb db) : PageModel
{
    /// <summary>What is said to whoever does not show password and code.</summary>
    public static readonly StaffBook.Outcome NotShown = new StaffBook.Outcome.Refused([StaffDoor.NotShown]);


    /// <summary>Staff id of whose account it is.</summary>
    [FromRoute] public string Id { get; set; } = "";
    /// <summary>Of whoever changes it.</summary>
    [BindProperty] public string? OwnPassword { get; set; }
    /// <summary>Six digits from the same person's authenticator.</summary>
    [BindProperty] public string? OwnCode { get; set; }
    public StaffRow Person { get; private set; } = null!;
    /// <summary>What was done with the account, the latest first, in words.</summary>
    public IReadOnlyList<string> Changes { get; private set; } = [];
    /// <summary>Shown on this answer alone and stored nowhere; null: none was made just now.</summary>
    public string? FirstPassword { get; private set; }
    /// <summary>Why nothing was changed, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    public async Task<IActionResult> OnGetAsync(CancellationToken stop) => await Load(stop) ? Page() : NotFound();

    public Task<IActionResult> OnPostStartAnewAsync(CancellationToken stop) => Do(() => book.StartAnew(Id, User.StaffId), stop);

    public Task<IActionResult> OnPostLetInAgainAsync(CancellationToken stop) => Do(() => book.LetInAgain(Id, User.StaffId), stop);

    public Task<IActionResult> OnPostLetGoAsync(CancellationToken stop) => Do(() => book.LetGo(Id, User.StaffId), stop);

    private async Task<IActionResult> Do(Func<Task<StaffBook.Outcome>> act, CancellationToken stop)
    {
        if (await book.Find(Id, stop) is null) return NotFound();
        var outcome = await door.ShowsAgain(HttpContext, OwnPassword, OwnCode) ? await act() : NotShown;
        FirstPassword = (outcome as StaffBook.Outcome.Password)?.FirstPassword;
        Reasons = (outcome as StaffBook.Outcome.Refused)?.Reasons ?? [];
        return await Load(stop) ? Page() : NotFound();
    }

    private async Task<bool> Load(CancellationToken stop)
    {
        if (await book.Find(Id, stop) is not var (person, changes)) return false;
        var names = await db.NamesOfStaff(stop);
        (Person, Changes) = (person, [.. changes.Select(c => $"{Plain.Time(c.At.InUtc())} UTC: {c.What.Words}, by {(c.By is { } by ? names.Of(by) : "whoever runs the portal")}")]);
        return true;
    }
}
