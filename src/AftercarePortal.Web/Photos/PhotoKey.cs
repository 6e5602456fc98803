using System.Security.Cryptography;
using Microsoft.Data.Sqlite;

namespace AftercarePortal.Web.Photos;

/// <summary>Finds the key the photos are encrypted with: <c>Photos:Key</c>, else a file beside the SQLite database, made when first needed.</summary>
/// <remarks>
/// The file is for a demo or a desk: whoever takes the folder has key and photos. A clinic sets <c>Photos:Key</c> from its vault. A lost key loses the photos.
/// <c>Photos:OldKeys</c>: those before it, with commas between; what was encrypted with them still opens.
/// </remarks>
internal static class PhotoKey
{
    private const int Bytes = 32;

    /// <exception cref="InvalidOperationException">The configured key is no 32 bytes in base64, or there is neither a key nor a SQLite file to put one beside.</exception>
    /// <returns>The key that encrypts, then those that only open.</returns>
    public static Func<IReadOnlyList<byte[]>> From(IConfiguration configuration)
    {
        var old = (configuration["Photos:OldKeys"] ?? "").Split(',', StringSplitOptions.TrimEntries | StringSplitOptions.RemoveEmptyEntries).Select(k => Read(k, "Photos:OldKeys must each")).ToList();
        if (configuration["Photos:Key"] is { Length: > 0 } given)
        {
            IReadOnlyList<byte[]> keys = [Read(given, "Photos:Key must"), .. old];
            return () => keys;
        }

        if ((configuration["Database:Kind"] ?? "sqlite") != "sqlite") throw new InvalidOperationException("Photos:Key is missing: 32 random bytes in base64.");
        var database = new SqliteConnectionStringBuilder(configuration["Database:Connection"] ?? "Data Source=aftercare.db").DataSource;
        return () => [FromFile(Path.GetFullPath(database) + ".photo-key"), .. old];
    }

    private static byte[] Read(string base64, string must)
    {
        var key = new byte[Bytes + 1];
        return Convert.TryFromBase64String(base64, key, out var length) && length == Bytes ? key[..Bytes] : throw new InvalidOperationException($"{must} be 32 bytes in base64.");
    }

    private static byte[] FromFile(string path)
    {
        if (!File.Exists(path)) Make(path);
        var key = File.ReadAllBytes(path);
        return key.Length == Bytes ? key : throw new InvalidOperationException("The file with the photos' key is not 32 bytes long.");
    }

    private static void Make(string path)
    {
        var options = new FileStreamOptions { Mode = FileMode.CreateNew, Access = FileAccess.Write };
        if (!OperatingSystem.IsWindows()) options.UnixCreateMode = UnixFileMode.UserRead | UnixFileMode.UserWrite;
        using var file = new FileStream(path, options);
        file.Write(RandomNumberGenerator.GetBytes(Bytes));
        file.Flush(flushToDisk: true);                                      // a photo sealed with a key that did not reach the disk is lost
    }
}
