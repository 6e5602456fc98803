using System.Security.Cryptography;
using System.Text.Json;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>What a page showed, as one short word a form carries along: whoever saves from an older page is told.</summary>
internal static class SeenMark
{
    /// <param name="values">Every value the form can change, in one order.</param>
    public static string Of(params string?[] values) => Convert.ToHexStringLower(SHA256.HashData(JsonSerializer.SerializeToUtf8Bytes(values)));
}
