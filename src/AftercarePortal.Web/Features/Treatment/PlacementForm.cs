namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One line of the record's form, exactly as typed.</summary>
internal sealed class PlacementForm
{
    public string? Region { get; set; }
    public string? Side { get; set; }
    public string? Product { get; set; }
    public string? ProductName { get; set; }
    /// <summary>The pack's barcode, scanned or pasted; fills lot and expiry.</summary>
    public string? Scan { get; set; }
    public string? Lot { get; set; }
    public string? Expiry { get; set; }
    /// <summary>mL; units for botulinum toxin type A.</summary>
    public string? Amount { get; set; }
    public string? Plane { get; set; }
    public string? Device { get; set; }
    /// <summary>Where needle or cannula went in.</summary>
    public string? EntryPoint { get; set; }
    /// <summary>What is empty of pack, plane and device is that of the line before.</summary>
    public bool Same { get; set; }

    /// <summary>Nothing was typed or chosen in this line.</summary>
    public bool IsBlank => new[] { Region, Side, Product, ProductName, Scan, Lot, Expiry, Amount, Plane, Device, EntryPoint }.All(string.IsNullOrWhiteSpace);
}
