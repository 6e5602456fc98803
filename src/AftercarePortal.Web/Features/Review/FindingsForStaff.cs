using AftercarePortal.Clinical.Candidacy;
using AftercarePortal.Web.Features.Intake;

namespace AftercarePortal.Web.Features.Review;

/// <summary>Findings in the clinic's words, counted as the person counts them.</summary>
internal static class FindingsForStaff
{
    /// <summary>For example <c>Clear first</c>; null: set aside.</summary>
    public static string NameOf(FindingKind? kind) => kind switch { FindingKind.ClearFirst => "Clear first", FindingKind.Wait => "Wait", FindingKind.Discuss => "Discuss", _ => "Set aside" };

    /// <summary>The answer a finding rests on, with what was answered; of one that rests on none its reason.</summary>
    public static string About(IntakeResult.ShownFinding finding) => finding.Because is [var first, ..] ? $"{first.ClinicName}, {first.ClinicWords}" : finding.Reason;

    /// <summary>Findings by kind, for example <c>2 to wait for, 3 to discuss; 12 because something was not told (4 to clear first, 8 to discuss)</c>; empty: none.</summary>
    public static string Counted(IEnumerable<IntakeResult.ShownFinding> findings)
    {
        static string Kinds(IEnumerable<IntakeResult.ShownFinding> known) => string.Join(", ", known.GroupBy(f => f.Kind).OrderBy(g => g.Key).Select(g => $"{g.Count()} to {g.Key switch { FindingKind.ClearFirst => "clear first", FindingKind.Wait => "wait for", _ => "discuss" }}"));
        var doubt = findings.ToLookup(f => f.FromDoubt);
        string[] parts = [Kinds(doubt[false]), doubt[true].Any() ? $"{doubt[true].Count()} because something was not told ({Kinds(doubt[true])})" : ""];
        return string.Join("; ", parts.Where(p => p.Length > 0));
    }

    /// <summary>The questions that alone could make a finding go away, by their names in the clinic's language.</summary>
    public static IEnumerable<string> ChangedBy(IntakeResult.ShownFinding finding) => finding.Because.Where(b => finding.ChangedBy.Contains(b.Name)).Select(b => b.ClinicName);

    /// <summary>The language a person reads, in English.</summary>
    public static string LanguageOf(IntakeRow intake) => System.Globalization.CultureInfo.GetCultureInfo(intake.Language).EnglishName;

    /// <summary>How many the person reads of one kind; those that hang on one answer not known are read as one.</summary>
    public static int ReadOf(IntakeResult result, FindingKind kind) => result.GroupsOf(kind).Count();

    /// <summary>Why the clinic sees more cards than the person reads; null when it does not.</summary>
    public static string? MoreThanRead(IntakeResult result)
    {
        var read = Enum.GetValues<FindingKind>().Sum(kind => ReadOf(result, kind));
        var alone = result.Findings.Count(f => f.ForClinician);
        var covered = result.Findings.Count(f => f is { Covered: true, ForClinician: false });
        var together = result.Findings.Count - alone - covered - read;
        string[] why =
        [
            .. alone > 0 ? [$"{alone} for you alone"] : Array.Empty<string>(),
            .. covered > 0 ? [$"{covered} said to the person by another finding"] : Array.Empty<string>(),
            .. together > 0 ? [$"{together} said together with another, because they hang on one answer that is not known"] : Array.Empty<string>(),
        ];
        return why.Length == 0 ? null : $"The person reads {read}; here are {result.Findings.Count}: {string.Join(", ", why)}.";
    }
}
