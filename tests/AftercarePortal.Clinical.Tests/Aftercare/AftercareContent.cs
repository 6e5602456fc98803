using AftercarePortal.Clinical.Aftercare;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Tests.Triage;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.ContentFiles;
using NodaTime;

namespace AftercarePortal.Clinical.Tests.Aftercare;

internal static class AftercareContent
{
    internal static readonly string[] Names = ["caha-filler", "botulinum-toxin"];

    internal static AftercareSequences Sequences { get; } = new([.. Names.Select(n => Read(n))]);

    internal static Texts Texts { get; } = ReadTexts();

    internal static ContentDocument Load(string file)
    {
        var errors = new List<ContentError>();
        return ContentDocument.Load(Path.Combine(TriageContent.Root, "content", "aftercare", file), errors)
            ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    internal static TreatmentRecord Record(LocalDate day, Instant signed, params ProductClass[] products) =>
        ((TreatmentRecord.Outcome.Made)TreatmentRecord.Sign(day, day, signed, [.. products.Select(p => new Placement(
            Region.JawBody, Side.Left, p is ProductClass.BotulinumToxinTypeA ? null : Volume.OfMl(1), p is ProductClass.BotulinumToxinTypeA ? 10 : null,
            Plane.Subcutaneous, "needle", "Demo product", p, "L1", day))])).Record;

    private static AftercareSequence Read(string name)
    {
        var errors = new List<ContentError>();
        return AftercareReader.Read(Load($"{name}.v1.yaml"), errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }

    private static Texts ReadTexts()
    {
        var errors = new List<ContentError>();
        var texts = Texts.Read(Path.Combine(TriageContent.Root, "content", "texts", "en"), errors);
        return errors.Count == 0 ? texts : throw new InvalidOperationException(string.Join('\n', errors));
    }
}
