using System.Net;
using System.Net.Sockets;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Who counts as one where an address is asked to wait.</summary>
internal static class ClientAddress
{
    /// <summary>An IPv4 address, or the /64 network of an IPv6 one: a household has so many of these that each alone would limit nothing.</summary>
    public static string Of(IPAddress? address) => address switch
    {
        null => "",
        { IsIPv4MappedToIPv6: true } => address.MapToIPv4().ToString(),
        { AddressFamily: AddressFamily.InterNetworkV6 } => Convert.ToHexString(address.GetAddressBytes().AsSpan(0, 8)),
        _ => address.ToString(),
    };
}
