using System.Security.Cryptography;
using System.Text;
using Microsoft.AspNetCore.WebUtilities;

namespace AftercarePortal.Web.Access;

/// <summary>A private link: whoever holds it may see one thing of one person, and nothing else.</summary>
/// <remarks>Only the hash is stored, so the database opens no link. 192 random bits need no slow hash.</remarks>
internal static class PatientLink
{
    private const int Bytes = 24;

    /// <summary>A new secret for an address, 32 characters that need no escaping.</summary>
    public static string NewSecret() => WebEncoders.Base64UrlEncode(RandomNumberGenerator.GetBytes(Bytes));

    /// <summary>What is stored of a secret: 64 hexadecimal digits.</summary>
    public static string HashOf(string secret) => Convert.ToHexString(SHA256.HashData(Encoding.UTF8.GetBytes(secret)));
}
