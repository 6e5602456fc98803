using System.Text.RegularExpressions;
using Microsoft.AspNetCore.DataProtection;

namespace AftercarePortal.Web.Features.Messages;

/// <summary>Seals what must go out in a text and must not lie open in the database, such as a private link, with the keys of the portal's own folder.</summary>
internal sealed partial class SealedWords(IDataProtectionProvider protection)
{
    private readonly IDataProtector seal = protection.CreateProtector("words sealed in a text");

    /// <summary>What stands in the stored text in place of the words.</summary>
    public string Seal(string words) => $"{{sealed:{seal.Protect(words)}}}";

    /// <summary>The text as the carrier gets it. A text without a seal is itself.</summary>
    /// <exception cref="System.Security.Cryptography.CryptographicException">The keys are not those it was sealed with.</exception>
    public string Open(string text) => Sealed().Replace(text, m => seal.Unprotect(m.Groups[1].Value));

    [GeneratedRegex(@"\{sealed:([A-Za-z0-9_-]+)\}")]
    private static partial Regex Sealed();
}
