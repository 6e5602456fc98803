using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Settings;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The words of a recall in every language a patient may have, as they are shown, approved and kept: one a line, each after its language.</summary>
internal static class RecallWords
{
    /// <summary>For example <c>en: Wrenfold Clinic: about a product …</c>, then <c>es: …</c>.</summary>
    public static string Of(Texts texts, ClinicRow clinic) => string.Join('\n', Texts.Languages.Select(language => $"{language}: {texts.In(language).Fill(ApproveRecall.TextId, clinic)}"));

    /// <summary>What keeps a record with recalled lots from being signed without a reason.</summary>
    public static IEnumerable<string> Against(IReadOnlyList<RecallRow> recalls) =>
        recalls.Select(r => $"Lot {r.Lot} was recalled here, approved by {r.ApprovedBy}. Do not use it. If it was given, say below how that came about; whoever got it is then listed with the recall, to be rung.");

    /// <summary>The approved words in one language; in the first when that one was not approved.</summary>
    public static string In(string approved, string? language)
    {
        var lines = approved.Split('\n');
        return (lines.FirstOrDefault(l => l.StartsWith($"{language}: ", StringComparison.Ordinal)) ?? lines[0])[4..];
    }
}
