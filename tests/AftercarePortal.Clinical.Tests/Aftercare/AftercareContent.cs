using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Clinical.Tests.Aftercare;

internal static class AftercareContent
{
    internal static readonly string[] Names = ["caha-filler", "ha-filler", "plla", "prp", "botulinum-toxin"];

    internal static AftercareSequences Sequences { get; } = new([.. Names.Select(n => Read(n))], ReadRules());

    internal static Texts Texts { get; } = ReadTexts("en");

    internal static Texts Spanish { get; } = ReadTexts("es");

    internal static ContentDocument Load(string file)
    {
        var errors = new List<ContentError>();
        return ContentDocument.Load(Path.Combine(TriageContent.Root, "content", "aftercare", file), errors)
            ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    internal static AftercarePlan Plan(LocalDate day, Instant signed, DateTimeZone zone, QuietHours quiet, params ProductClass[] products) =>
        Sequences.PlanFor(new(day, signed, products), [], zone, quiet);

    private static MergeRules ReadRules()
    {
        var errors = new List<ContentError>();
        return MergeRulesReader.Read(Load("../merging/merging.v1.yaml"), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static AftercareSequence Read(string name)
    {
        var errors = new List<ContentError>();
        return AftercareReader.Read(Load($"{name}.v1.yaml"), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static Texts ReadTexts(string language)
    {
        var errors = new List<ContentError>();
        var texts = Texts.Read(Path.Combine(TriageContent.Root, "content", "texts", language), errors);
        return errors.Count == 0 ? texts : throw new InvalidOperationException(string.Join('\n', errors));
    }
}
