using System.Net;
using System.Net.Sockets;

namespace AftercarePortal.Benchmarks;

internal static class Ports
{
    /// <summary>A port of 127.0.0.1 nobody listens on now.</summary>
    public static int Free()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
