using Microsoft.AspNetCore.Mvc;
using Microsoft.AspNetCore.Mvc.RazorPages;
using QRCoder;

namespace AftercarePortal.Web.Features.Staff;

/// <summary>First sign-in: puts a key into the authenticator and proves it with one code.</summary>
internal sealed class EnrolModel(StaffDoor door) : PageModel
{
    /// <summary>Six digits from the authenticator, as typed.</summary>
    [BindProperty] public string? Code { get; set; }
    /// <summary>Path that was asked for before signing in; null, or no path of the portal: the open reports.</summary>
    [BindProperty(SupportsGet = true)] public string? Then { get; set; }
    /// <summary>The authenticator's key, 32 Base32 letters.</summary>
    public string Key { get; private set; } = "";
    /// <summary>The same to scan: a QR code, PNG as a data URI.</summary>
    public string Picture { get; private set; } = "";
    /// <summary>The key of this page, sealed; proved by the code, it is kept.</summary>
    [BindProperty] public string? Sealed { get; set; }
    /// <summary>The person's own password, asked for where the one so far is a first one.</summary>
    [BindProperty] public string? NewPassword { get; set; }
    /// <summary>The password so far is one that somebody else has seen.</summary>
    public bool NeedsPassword { get; private set; }
    /// <summary>What is wrong with the new password, in words.</summary>
    public IReadOnlyList<string> PasswordFaults { get; private set; } = [];
    /// <summary>The code was wrong or used before, or the door is shut.</summary>
    public bool Refused { get; private set; }

    /// <summary>The page was open too long, and its key is another one now.</summary>
    public bool Anew { get; private set; }

    /// <summary>The key in groups of four, for typing.</summary>
    public string SpacedKey => string.Join(' ', Key.Chunk(4).Select(c => new string(c)));

    public async Task<IActionResult> OnGetAsync() => await door.WhoIsAtTheDoor(User) switch
    {
        null => RedirectToPage("SignIn", new { Then }),
        { EnrolledAt: not null } => RedirectToPage("SecondFactor", new { Then }),
        { } person => Show(person, door.NewKey(person)),
    };

    public async Task<IActionResult> OnPostAsync()
    {
        if (await door.WhoIsAtTheDoor(User) is not { } person) return RedirectToPage("SignIn", new { Then });
        if (person.EnrolledAt is not null) return RedirectToPage("SecondFactor", new { Then });
        if (door.KeyOf(person, Sealed) is not { } key)
        {
            Anew = true;
            return Show(person, door.NewKey(person));
        }

        if (await door.Enrol(HttpContext, person, key, Code, NewPassword) is { } faults)
        {
            (Refused, PasswordFaults) = (faults.Count == 0, faults);
            return Show(person, (key, Sealed!));
        }

        await door.Enter(HttpContext, person, withSecondFactor: true);
        return LocalRedirect(Url.IsLocalUrl(Then) ? Then! : "/Escalations");
    }

    private PageResult Show(StaffRow person, (string Key, string Sealed) key)
    {
        ModelState.Remove(nameof(Sealed));       // of a form that is shown again, the new one counts
        (Key, Sealed) = key;
        NeedsPassword = person.FirstPasswordUntil is not null;
        var uri = $"otpauth://totp/Clinic%20portal:{Uri.EscapeDataString(person.UserName ?? "staff")}?secret={Key}&issuer=Clinic%20portal&digits=6&period=30";
        using var generator = new QRCodeGenerator();
        using var data = generator.CreateQrCode(uri, QRCodeGenerator.ECCLevel.M);
        Picture = "data:image/png;base64," + Convert.ToBase64String(new PngByteQRCode(data).GetGraphic(5));
        return Page();
    }
}
