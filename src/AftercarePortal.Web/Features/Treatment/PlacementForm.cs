namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One line of the record's form, exactly as typed.</summary>
internal sealed class PlacementForm
{
    /// <summary>A <see cref="Clinical.Anatomy.Region"/> by name.</summary>
    public string? Region { get; set; }
    /// <summary>A <see cref="Clinical.Anatomy.Side"/> by name; the patient's own.</summary>
    public string? Side { get; set; }
    /// <summary>Product class as people write it, for example <c>CaHA filler</c>.</summary>
    public string? Product { get; set; }
    /// <summary>The product itself, up to 120 letters.</summary>
    public string? ProductName { get; set; }
    /// <summary>The pack's barcode, scanned or pasted; fills lot and expiry.</summary>
    public string? Scan { get; set; }
    /// <summary>Up to 60 letters; of PRP the lot of the kit.</summary>
    public string? Lot { get; set; }
    /// <summary>Last day the pack may be used, ISO date.</summary>
    public string? Expiry { get; set; }
    /// <summary>mL; units for botulinum toxin type A.</summary>
    public string? Amount { get; set; }
    /// <summary>A <see cref="Clinical.Anatomy.Plane"/> by name.</summary>
    public string? Plane { get; set; }
    /// <summary>Needle or cannula, up to 120 letters.</summary>
    public string? Device { get; set; }
    /// <summary>Where needle or cannula went in.</summary>
    public string? EntryPoint { get; set; }
    /// <summary>What is empty of pack, plane and device is that of the line before.</summary>
    public bool Same { get; set; }

    /// <summary>Nothing was typed or chosen in this line.</summary>
    public bool IsBlank => new[] { Region, Side, Product, ProductName, Scan, Lot, Expiry, Amount, Plane, Device, EntryPoint }.All(string.IsNullOrWhiteSpace);
}
