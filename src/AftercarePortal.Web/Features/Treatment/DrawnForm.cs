namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One lot made ready, exactly as typed.</summary>
internal sealed class DrawnForm
{
    /// <summary>Product class as people write it, for example <c>CaHA filler</c>.</summary>
    public string? Product { get; set; }
    /// <summary>Up to 60 letters.</summary>
    public string? Lot { get; set; }
    /// <summary>mL of all syringes; units of the vial for botulinum toxin type A.</summary>
    public string? Amount { get; set; }
    /// <summary>mL of diluent.</summary>
    public string? Diluent { get; set; }

    /// <summary>Nothing was typed or chosen.</summary>
    public bool IsBlank => new[] { Product, Lot, Amount, Diluent }.All(string.IsNullOrWhiteSpace);
}
