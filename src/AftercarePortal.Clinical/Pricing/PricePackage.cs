namespace AftercarePortal.Clinical.Pricing;

/// <summary>A package of a price list: so many units of one product at one visit, or so many sessions of a course, at one price.</summary>
/// <param name="Id">Its word in the list, for example <c>lower-face-three</c>.</param>
/// <param name="Names">What a patient reads, by BCP 47 tag, for example <c>three syringes of CaHA filler for the lower face</c>.</param>
/// <param name="Of">Product code of the list, or <see cref="Sessions"/>.</param>
/// <param name="Units">Billed units, or sessions.</param>
/// <param name="Price">Minor units, before tax.</param>
/// <param name="Regions">Where its product may go; it counts only when all of the product goes there. Empty: anywhere.</param>
public sealed record PricePackage(string Id, IReadOnlyDictionary<string, string> Names, string Of, int Units, long Price, IReadOnlyList<string> Regions)
{
    /// <summary><see cref="Of"/> of a package of sessions of skin treatment.</summary>
    public const string Sessions = "session";

    /// <summary>Numbers alone.</summary>
    public UnitPackage Numbers => new(Units, Price);
}
