using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Sources;

namespace AftercarePortal.Clinical.Treatment;

/// <summary>One version of what to have at hand, to think of and not to go beyond; knowledge from content.</summary>
/// <param name="Version">The file that says so.</param>
/// <param name="Kit">What must be there and in date before a treatment starts; never empty.</param>
/// <param name="Reminders">What to think of.</param>
/// <param name="Limits">Amounts cited protocols did not go beyond; no dose limits.</param>
/// <param name="Devices">Devices to offer; any other may be typed.</param>
public sealed record SafetyRules(
    ContentVersion Version, IReadOnlyList<KitItem> Kit, IReadOnlyList<SafetyReminder> Reminders, IReadOnlyList<AmountLimit> Limits, IReadOnlyList<SafetyPrompt> Devices)
{
    /// <summary>What these deposits call for: amounts beyond a limit first, then the reminders in the order of the file; none without a deposit.</summary>
    /// <param name="deposits">Of one visit.</param>
    /// <param name="touchUp">Whether the visit touches up an earlier treatment.</param>
    public IReadOnlyList<SafetyPrompt> For(IReadOnlyList<Deposit> deposits, bool touchUp = false) =>
    [
        .. Limits.SelectMany(limit => limit.For(deposits, touchUp)),
        .. Reminders.Where(reminder => deposits.Any(reminder.Concerns)).Select(reminder => new SafetyPrompt(reminder.Says, reminder.Source)),
    ];
}

/// <summary>One thing of the emergency kit.</summary>
/// <param name="Id">Unique in its file.</param>
/// <param name="Says">What it is, in words.</param>
/// <param name="Expires">Whether it bears a last day of use.</param>
/// <param name="Source">Where it stands.</param>
public sealed record KitItem(string Id, string Says, bool Expires, string Source);

/// <summary>One reminder.</summary>
/// <param name="Regions">Only there; empty: anywhere.</param>
/// <param name="Products">Only for these; empty: any.</param>
/// <param name="Says">For a clinician, in plain words.</param>
/// <param name="Source">Where it stands.</param>
public sealed record SafetyReminder(IReadOnlyList<Region> Regions, IReadOnlyList<ProductClass> Products, string Says, string Source)
{
    internal bool Concerns(Deposit deposit) =>
        (Regions.Count == 0 || Regions.Contains(deposit.Region)) && (Products.Count == 0 || Products.Contains(deposit.ProductClass));
}
