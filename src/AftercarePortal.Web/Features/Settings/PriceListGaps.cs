using AftercarePortal.Clinical.Intake;
using AftercarePortal.Clinical.Pricing;
using NodaTime;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>What a price list cannot answer: the person then reads that the clinic will tell her, and staff read why.</summary>
internal static class PriceListGaps
{
    /// <summary>One sentence each; empty when every wish can be given a range.</summary>
    public static IReadOnlyList<string> Of(PriceModel model, PriceList prices, LocalDate today)
    {
        IEnumerable<string> For(Wishes wishes) => model.RangeFor(wishes, Answers.None, prices, model.ColdStart()) is PriceOutcome.CannotSayYet open ? open.Because.Except(open.FromWish) : [];
        IEnumerable<Wishes> wishes =
        [
            .. model.Words.Products.Keys.Select(product => new Wishes([model.Regions[0].Code], product, null, today)),
            new Wishes([model.Toxin.Region], null, null, today),
        ];
        return [.. wishes.SelectMany(For).Distinct()];
    }
}
