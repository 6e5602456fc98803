using System.Diagnostics;
using System.Runtime.InteropServices;
using AftercarePortal.Web.Commands;

namespace AftercarePortal.Web.Photos;

/// <summary>A HEIC photo, as telephones keep them, made into a JPEG by a process of its own.</summary>
/// <remarks>
/// HEIC has many parts and its decoder is large. A stranger's file that breaks it, or fills its memory, ends that process and not the portal that pages people.
/// </remarks>
internal static class HeicPicture
{
    // Two at a time: each may take some hundred megabytes.
    private static readonly SemaphoreSlim Turn = new(2);
    private static readonly TimeSpan Longest = TimeSpan.FromSeconds(20);

    // ISO/IEC 14496-12: the first box is ftyp, its major brand at byte 8. Brands: ISO/IEC 23008-12, annex B.
    private static readonly string[] Brands = ["heic", "heix", "heim", "heis", "mif1", "msf1"];

    /// <summary>Whether the first bytes say so.</summary>
    public static bool IsOne(ReadOnlySpan<byte> file) =>
        file.Length > 12 && file[4..8].SequenceEqual("ftyp"u8) && Brands.Contains(System.Text.Encoding.Latin1.GetString(file[8..12]), StringComparer.Ordinal);

    /// <summary>Null: not a whole HEIC photo within the limits.</summary>
    /// <exception cref="InvalidOperationException">The process could not be started.</exception>
    public static async Task<byte[]?> ToJpeg(byte[] file, CancellationToken stop)
    {
        await Turn.WaitAsync(stop);
        try
        {
            using var helper = Process.Start(Start()) ?? throw new InvalidOperationException("The picture helper did not start.");
            using var limit = CancellationTokenSource.CreateLinkedTokenSource(stop);
            limit.CancelAfter(Longest);
            try
            {
                var jpeg = new MemoryStream();
                await Task.WhenAll(Give(helper, file, limit.Token), helper.StandardOutput.BaseStream.CopyToAsync(jpeg, limit.Token));
                await helper.WaitForExitAsync(limit.Token);
                return helper.ExitCode == 0 ? jpeg.ToArray() : null;
            }
            catch (OperationCanceledException) when (!stop.IsCancellationRequested)
            {
                return null;                                                    // took too long
            }
            finally
            {
                if (!helper.HasExited) helper.Kill();
            }
        }
        finally
        {
            Turn.Release();
        }
    }

    private static async Task Give(Process helper, byte[] file, CancellationToken stop)
    {
        try
        {
            await helper.StandardInput.BaseStream.WriteAsync(file, stop);
            helper.StandardInput.Close();
        }
        catch (IOException)
        {
            // It ended before it had read all: its exit code says so.
        }
    }

    // The program itself when it runs as one; otherwise through dotnet, beside whatever hosts the portal.
    private static ProcessStartInfo Start()
    {
        var portal = typeof(HeicPicture).Assembly;
        var own = Environment.ProcessPath is { } path && Path.GetFileNameWithoutExtension(path) == portal.GetName().Name ? path : null;
        var start = own is null
            ? new ProcessStartInfo(Path.Combine(RuntimeEnvironment.GetRuntimeDirectory(), "..", "..", "..", OperatingSystem.IsWindows() ? "dotnet.exe" : "dotnet"), [portal.Location, PictureCommand.Name])
            : new ProcessStartInfo(own, [PictureCommand.Name]);
        (start.RedirectStandardInput, start.RedirectStandardOutput) = (true, true);
        foreach (var name in start.Environment.Keys.Except(["PATH", "SystemRoot", "TEMP", "TMP", "TMPDIR"], StringComparer.OrdinalIgnoreCase).ToList()) start.Environment.Remove(name);      // it needs no password of ours
        return start;
    }
}
