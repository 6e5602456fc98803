using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text;

namespace AftercarePortal.Web.Access;

/// <summary>Narrow links: 256 random bits in the address, only their hash in the database.</summary>
internal static class Secret
{
    /// <summary>A new link secret, 43 letters safe in an address.</summary>
    public static string New() => Base64Url.EncodeToString(RandomNumberGenerator.GetBytes(32));

    /// <summary>What is stored of a secret: SHA-256, hexadecimal, 64 letters.</summary>
    public static string Hash(string secret) => Convert.ToHexStringLower(SHA256.HashData(Encoding.UTF8.GetBytes(secret)));
}
