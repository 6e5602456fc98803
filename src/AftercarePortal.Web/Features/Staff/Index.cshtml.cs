using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>Who works here, for whoever leads the practice.</summary>
internal sealed class IndexModel(StaffBook book, StaffDoor door) : PageModel
{
    /// <summary>Name to sign in with: up to 40 plain letters, digits, dots and hyphens.</summary>
    [BindProperty] public string? UserName { get; set; }
    /// <summary>As patients and records show it, up to 100 characters.</summary>
    [BindProperty] public string? FullName { get; set; }
    /// <summary>Where this person is paged, E.164.</summary>
    [BindProperty] public string? PageNumber { get; set; }
    [BindProperty] public StaffRole Role { get; set; }
    /// <summary>Of whoever adds somebody.</summary>
    [BindProperty] public string? OwnPassword { get; set; }
    /// <summary>Six digits from the same person's authenticator.</summary>
    [BindProperty] public string? OwnCode { get; set; }
    /// <summary>Everybody of the clinic, also those let go, by name.</summary>
    public IReadOnlyList<StaffRow> Everyone { get; private set; } = [];
    /// <summary>Shown on this answer alone and stored nowhere; null: none was made just now.</summary>
    public string? FirstPassword { get; private set; }
    /// <summary>Why nothing was changed, in words; empty: nothing was wrong.</summary>
    public IReadOnlyList<string> Reasons { get; private set; } = [];

    /// <summary>Whether somebody is let in and has an authenticator, in words.</summary>
    public static string Standing(StaffRow person) =>
        person.IsLetGo ? "let in no more" : person.EnrolledAt is null ? "has not signed in yet" : "signs in with an authenticator";

    public async Task OnGetAsync(CancellationToken stop) => Everyone = await book.All(stop);

    public async Task<IActionResult> OnPostAddAsync(CancellationToken stop)
    {
        var outcome = await door.ShowsAgain(HttpContext, OwnPassword, OwnCode) ? await book.Add(UserName, FullName, PageNumber, Role, User.StaffId) : ChangeModel.NotShown;
        FirstPassword = (outcome as StaffBook.Outcome.Password)?.FirstPassword;
        Reasons = (outcome as StaffBook.Outcome.Refused)?.Reasons ?? [];
        Everyone = await book.All(stop);
        if (FirstPassword is not null) (UserName, FullName, PageNumber) = (null, null, null);
        return Page();
    }
}
