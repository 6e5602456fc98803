using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Who works here, for whoever leads the practice.</summary>
internal sealed class IndexModel(StaffBook book) : PageModel
{
    [BindProperty] public string? Id { get; set; }
    [BindProperty] public string? UserName { get; set; }
    [BindProperty] public string? FullName { get; set; }
    [BindProperty] public string? PageNumber { get; set; }
    [BindProperty] public StaffRole Role { get; set; }
    public IReadOnlyList<StaffRow> Everyone { get; private set; } = [];
    public string? FirstPassword { get; private set; }
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    /// <summary>Whether somebody is let in and has an authenticator, in words.</summary>
    public string Standing(StaffRow person) =>
        person.IsLetGo ? "let in no more" : person.EnrolledAt is null ? "has not signed in yet" : "signs in with an authenticator";

    public async Task OnGetAsync(CancellationToken stop) => Everyone = await book.All(stop);

    public async Task<IActionResult> OnPostAddAsync(CancellationToken stop) => await Show(await book.Add(UserName, FullName, PageNumber, Role), stop);

    public async Task<IActionResult> OnPostStartAnewAsync(CancellationToken stop) => await Show(await book.StartAnew(Id ?? ""), stop);

    public async Task<IActionResult> OnPostLetInAgainAsync(CancellationToken stop) => await Show(await book.LetInAgain(Id ?? ""), stop);

    public async Task<IActionResult> OnPostLetGoAsync(CancellationToken stop) => await Show(await book.LetGo(Id ?? "", User.StaffId), stop);

    private async Task<IActionResult> Show(StaffBook.Outcome outcome, CancellationToken stop)
    {
        if (outcome is StaffBook.Outcome.NotFound) return NotFound();
        FirstPassword = (outcome as StaffBook.Outcome.Password)?.FirstPassword;
        Reasons = (outcome as StaffBook.Outcome.Refused)?.Reasons ?? [];
        Everyone = await book.All(stop);
        if (FirstPassword is not null) (UserName, FullName, PageNumber) = (null, null, null);
        return Page();
    }
}
