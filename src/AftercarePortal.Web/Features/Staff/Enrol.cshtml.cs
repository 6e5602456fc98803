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
    /// <summary>The code was wrong or used before, or the door is shut.</summary>
    public bool Refused { get; private set; }

    /// <summary>The key in groups of four, for typing.</summary>
    public string SpacedKey => string.Join(' ', Key.Chunk(4).Select(c => new string(c)));

    public async Task<IActionResult> OnGetAsync() => await door.WhoIsAtTheDoor(User) switch
    {
        null => RedirectToPage("SignIn", new { Then }),
        { EnrolledAt: not null } => RedirectToPage("SecondFactor", new { Then }),
        { } person => await Show(person),
    };

    public async Task<IActionResult> OnPostAsync()
    {
        if (await door.WhoIsAtTheDoor(User) is not { } person) return RedirectToPage("SignIn", new { Then });
        if (person.EnrolledAt is not null) return RedirectToPage("SecondFactor", new { Then });
        if (!await door.CheckCode(HttpContext, person, Code))
        {
            Refused = true;
            return await Show(person);
        }

        await StaffDoor.Enter(HttpContext, person, withSecondFactor: true);
        return LocalRedirect(Url.IsLocalUrl(Then) ? Then! : "/Escalations");
    }

    private async Task<IActionResult> Show(StaffRow person)
    {
        var hadKey = person.ProtectedKey is not null;
        Key = await door.KeyToEnrol(person);
        if (!hadKey) await StaffDoor.Enter(HttpContext, person, withSecondFactor: false);    // the new key changed the stamp in the cookie
        var uri = $"otpauth://totp/Clinic%20portal:{Uri.EscapeDataString(person.UserName ?? "staff")}?secret={Key}&issuer=Clinic%20portal&digits=6&period=30";
        using var generator = new QRCodeGenerator();
        using var data = generator.CreateQrCode(uri, QRCodeGenerator.ECCLevel.M);
        Picture = "data:image/png;base64," + Convert.ToBase64String(new PngByteQRCode(data).GetGraphic(5));
        return Page();
    }
}
