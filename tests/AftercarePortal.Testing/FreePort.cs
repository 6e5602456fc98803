using System.Net;
using System.Net.Sockets;

namespace AftercarePortal.Testing;

/// <summary>Ports of 127.0.0.1 for programs that must know theirs before they start.</summary>
internal static class FreePort
{
    /// <summary>A port nobody listens on now, 20000..31999: below those the system gives to outgoing connections, so none of them takes it in between.</summary>
    public static int Take()
    {
        while (true)
        {
            var port = Random.Shared.Next(20_000, 32_000);
            try
            {
                using var listener = new TcpListener(IPAddress.Loopback, port);
                listener.Start();
                return port;
            }
            catch (SocketException)
            {
                // Somebody listens there: the next one.
            }
        }
    }
}
