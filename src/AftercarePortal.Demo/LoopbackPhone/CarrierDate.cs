using System.Globalization;

namespace AftercarePortal.Demo.LoopbackPhone;

/// <summary>Dates as the carrier writes them into its lists: RFC 2822 in whole seconds, UTC as <c>+0000</c> and never as <c>GMT</c> (its documentation, message resource).</summary>
/// <remarks>The SDK turns <c>+0000</c> into the host's own time, <c>GMT</c> it leaves in UTC: a double that wrote <c>GMT</c> would hide what a host in another zone reads.</remarks>
internal static class CarrierDate
{
    public static string Of(DateTimeOffset at) => at.UtcDateTime.ToString("ddd, dd MMM yyyy HH:mm:ss '+0000'", CultureInfo.InvariantCulture);
}
