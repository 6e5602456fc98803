using System.Security.Cryptography;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Short references people can say on the phone.</summary>
internal static class Reference
{
    // No vowels, no 0/1/O/I: nothing to misread and no words by accident.
    private const string Letters = "23456789BCDFGHJKLMNPQRSTVWXZ";

    /// <summary>Four letters and digits worked out from the escalation's id.</summary>
    public static string Of(Guid id)
    {
        var hash = SHA256.HashData(id.ToByteArray());
        return string.Concat(hash.Take(4).Select(b => Letters[b % Letters.Length]));
    }
}
