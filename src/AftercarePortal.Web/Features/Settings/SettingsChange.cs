using System.Text.Json;
using AftercarePortal.Web.Data;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>One change of a clinic's settings, as it is read back.</summary>
/// <param name="By">Who.</param>
/// <param name="At">When.</param>
/// <param name="What">Each setting with what it was and became; of the oldest shown, how all stood.</param>
internal sealed record SettingsChange(string By, Instant At, IReadOnlyList<string> What)
{
    /// <summary>Stands instead of a name for how the settings stood before anybody changed them on the page.</summary>
    public const string BeforeTheFirst = "Before the first change";

    /// <summary>So much earlier than the first change that row is dated, to stand before it.</summary>
    public static readonly Duration Before = Duration.FromMilliseconds(1);

    private const int Shown = 20;

    /// <summary>The latest, newest first.</summary>
    public static async Task<IReadOnlyList<SettingsChange>> Latest(PortalDb db, CancellationToken stop)
    {
        var rows = await db.ClinicChanges.AsNoTracking().OrderByDescending(c => c.ChangedAt).ThenByDescending(c => c.Id).Take(Shown + 1).ToListAsync(stop);
        var forms = rows.Select(r => JsonSerializer.Deserialize<SettingsForm>(r.Json)!).ToList();
        return [.. rows.Take(Shown).Select((row, i) => new SettingsChange(row.ChangedBy, row.ChangedAt, i + 1 < rows.Count ? Between(forms[i + 1], forms[i]) : ["as all stood then", .. forms[i].Lines().Select(l => $"{l.Name}: {Said(l.Value)}")]))];
    }

    private static List<string> Between(SettingsForm before, SettingsForm after) =>
        [.. before.Lines().Zip(after.Lines()).Where(l => Said(l.First.Value) != Said(l.Second.Value)).Select(l => $"{l.First.Name}: {Said(l.First.Value)}, then {Said(l.Second.Value)}")];

    private static string Said(string? value) => string.IsNullOrEmpty(value) ? "none" : value;
}
