using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using AftercarePortal.Clinical.Tests.Candidacy;
using AftercarePortal.Web.ContentFiles;
using NodaTime;
using Xunit;

namespace AftercarePortal.Clinical.Tests.Pricing;

internal static class PricingContent
{
    internal static ContentDocument ModelFile { get; } = CandidacyContent.Load("pricing", "lower-face-model.v1.yaml");

    internal static PriceModel Model { get; } = Sure(errors => PricingReader.Read(ModelFile, CandidacyContent.Questionnaire, errors));

    internal static PriceList Prices { get; } = Sure(errors => PriceListReader.Read(CandidacyContent.Load("pricing", "wrenfold-prices.v1.yaml"), errors, Model));

    internal static LocalDate Today { get; } = new(2026, 11, 25);

    /// <summary>Nora, 45: every question answered, three parts of the jaw, CaHA filler.</summary>
    internal static Dictionary<string, string[]> Nora() => new()
    {
        ["birth-date"] = ["1981-05-04"], ["sex"] = ["female"], ["weight-change"] = ["no"], ["tooth-loss"] = ["no"], ["earlier-filler"] = ["no"],
        ["wish-regions"] = ["jaw-angle", "jaw-body", "pre-jowl"], ["wish-product"] = ["caha-filler"], ["wish-strength"] = ["clear"], ["side-difference"] = ["slight"],
    };

    internal static Dictionary<string, string[]> With(this Dictionary<string, string[]> answers, string linkId, params string[] values)
    {
        var changed = new Dictionary<string, string[]>(answers) { [linkId] = values };
        if (values.Length == 0) changed.Remove(linkId);
        return changed;
    }

    internal static PriceOutcome Outcome(Dictionary<string, string[]> given, PriceList? prices = null, ClinicFigures? figures = null)
    {
        var answers = new Answers(given.ToDictionary(g => g.Key, g => g.Value is ["not-sure"] ? new Answer.NotSure() : (Answer)new Answer.Given(g.Value)));
        return Model.RangeFor(Wishes.From(answers, Today), answers, prices ?? Prices, figures ?? Model.ColdStart());
    }

    internal static PriceRange Range(Dictionary<string, string[]> given, PriceList? prices = null, ClinicFigures? figures = null) =>
        Assert.IsType<PriceOutcome.Known>(Outcome(given, prices, figures)).Range;

    internal static IReadOnlyList<string> Refused(Dictionary<string, string[]> given, PriceList? prices = null, ClinicFigures? figures = null) =>
        Assert.IsType<PriceOutcome.CannotSayYet>(Outcome(given, prices, figures)).Because;

    private static T Sure<T>(Func<List<ContentError>, T?> read) where T : class
    {
        var errors = new List<ContentError>();
        return read(errors) ?? throw new InvalidOperationException(string.Join('\n', errors));
    }
}
