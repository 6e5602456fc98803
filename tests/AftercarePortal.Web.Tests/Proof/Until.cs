using System.Diagnostics;

namespace AftercarePortal.Web.Tests.Proof;

/// <summary>Waits for another process to get somewhere.</summary>
internal static class Until
{
    private static readonly TimeSpan Deadline = TimeSpan.FromMinutes(3), Look = TimeSpan.FromMilliseconds(5);

    /// <exception cref="TimeoutException">It did not within three minutes.</exception>
    public static async Task True(string what, Func<Task<bool>> isSo)
    {
        for (var waited = Stopwatch.StartNew(); !await isSo(); await Task.Delay(Look))
            if (waited.Elapsed > Deadline) throw new TimeoutException($"Not within {Deadline}: {what}.");
    }
}
