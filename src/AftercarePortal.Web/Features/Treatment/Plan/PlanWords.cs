using System.Globalization;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>Lines of a plan, and what became of them, in words.</summary>
internal static class PlanWords
{
    /// <summary>A line with its device, for example <c>jaw angle, left: CaHA filler, 0.75 mL, 22 G cannula</c>.</summary>
    public static string Of(PlanLineRow line) => $"{Of(line.Deposit)}{(line.Device.Length > 0 ? $", {line.Device}" : "")}";

    /// <summary>What goes where, for example <c>jaw angle, left: CaHA filler, 0.75 mL</c>.</summary>
    public static string Of(Deposit deposit) => $"{Plain.Words(deposit.Region)}, {Plain.Words(deposit.Side)}: {deposit.ProductClass.Name()}, {Amount(deposit.Amount, deposit.ProductClass)}";

    /// <summary>A line as far as it can be read.</summary>
    public static string Of(PlanForm.Line line) => line.Draft.Deposit is { } deposit ? Of(deposit) : line.IsBlank ? "New line" : "Not complete yet";

    /// <summary>Planned beside used, for example <c>jaw angle, left, CaHA filler: planned 0.75 mL, used 0.60 mL (0.15 mL less)</c>.</summary>
    public static string Of(PlannedAndUsed line)
    {
        var where = $"{Plain.Words(line.Region)}, {Plain.Words(line.Side)}, {line.ProductClass.Name()}";
        return (line.Planned, line.Used) switch
        {
            ({ } planned, { } used) => $"{where}: planned {Amount(planned, line.ProductClass)}, used {Amount(used, line.ProductClass)}{Beyond(line)}",
            ({ } planned, null) => $"{where}: planned {Amount(planned, line.ProductClass)}, not used",
            _ => $"{where}: not planned, used {Amount(line.Used.GetValueOrDefault(), line.ProductClass)}",
        };
    }

    /// <summary>An amount with its unit: mL with two decimals; of botulinum toxin type A units with one.</summary>
    public static string Amount(decimal amount, ProductClass product) => product is ProductClass.BotulinumToxinTypeA
        ? amount.ToString("0.0", CultureInfo.InvariantCulture) + " units"
        : amount.ToString("0.00", CultureInfo.InvariantCulture) + " mL";

    private static string Beyond(PlannedAndUsed line) =>
        line.Difference == 0 ? "" : $" ({Amount(Math.Abs(line.Difference), line.ProductClass)} {(line.Difference > 0 ? "more" : "less")})";
}
