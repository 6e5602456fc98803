using AftercarePortal.Clinical.Treatment;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The core's reasons in words for whoever writes the record.</summary>
internal static class RefusalWords
{
    /// <param name="placement">Place in the form, from 1; null: the whole record.</param>
    public static string Of(RefusalReason why, int? placement, bool toxin) => placement is { } n ? $"Placement {n}: {OfPlacement(why, toxin)}" : OfRecord(why);

    /// <summary>About one lot made ready.</summary>
    public static string OfDrawn(RefusalReason why) => why switch
    {
        RefusalReason.LotMissing => "give the lot.",
        RefusalReason.DiluentMissing => "give the mL of diluent.",
        RefusalReason.DiluentWrong => "the diluent is 0.01 to 50.00 mL.",
        _ => "the amount is above 0 and at most 1000, with two decimals.",
    };

    /// <summary>About one line of a plan.</summary>
    public static string OfPlanLine(RefusalReason why, bool toxin) => OfPlacement(why, toxin);

    private static string OfRecord(RefusalReason why) => why switch
    {
        RefusalReason.NoPlacement => "Give at least one placement; or, of a treatment stopped before the first, what happened or what was drawn up.",
        RefusalReason.TreatedAfterSigning => "Day of treatment: it is in the future.",
        RefusalReason.MoreThanDrawnUp => "More of a lot was placed than drawn up. Look at the totals; correct a placement or what was drawn up.",
        _ => throw new ArgumentOutOfRangeException(nameof(why)),
    };

    private static string OfPlacement(RefusalReason why, bool toxin) => why switch
    {
        RefusalReason.RegionMissing => "choose the region.",
        RefusalReason.SideMissing => "choose the side.",
        RefusalReason.SideWrong => "this region lies left and right: choose one of them, and a placement for each.",
        RefusalReason.PlaneMissing => "choose the plane.",
        RefusalReason.ProductClassMissing => "choose the product class.",
        RefusalReason.RegionWrong => "platysma takes botulinum toxin type A only.",
        RefusalReason.ExpiryMissing => "give the expiry date.",
        RefusalReason.Expired => "the product was expired on the day of treatment.",
        RefusalReason.LotMissing => "give the lot.",
        RefusalReason.ProductMissing => "give the product.",
        RefusalReason.DeviceMissing => "give the device.",
        RefusalReason.AmountWrong when toxin => "the amount is 0.1 to 100.0 units in steps of 0.1.",
        RefusalReason.AmountWrong => "the amount is 0.01 to 20.00 mL in steps of 0.01.",
        _ => throw new ArgumentOutOfRangeException(nameof(why)),
    };
}
