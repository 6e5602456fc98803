namespace AftercarePortal.Web.Features.Treatment;

/// <summary>One addendum exactly as typed. What of a placement or of the record is right as it stands is left empty.</summary>
internal sealed class AddendumForm
{
    /// <summary>Words to add; always needed.</summary>
    public string? Text { get; set; }
    /// <summary>Place of the placement that is put right, from 1; null: none.</summary>
    public int? Corrects { get; set; }
    /// <summary>mL or, of botulinum toxin type A, units; 0: nothing was placed there.</summary>
    public string? RightAmount { get; set; }
    /// <summary>A <see cref="Clinical.Anatomy.Region"/> by name.</summary>
    public string? RightRegion { get; set; }
    /// <summary>A <see cref="Clinical.Anatomy.Side"/> by name; the patient's own.</summary>
    public string? RightSide { get; set; }
    /// <summary>Product class as people write it.</summary>
    public string? RightClass { get; set; }
    public string? RightProduct { get; set; }
    public string? RightLot { get; set; }
    /// <summary>ISO date.</summary>
    public string? RightExpiry { get; set; }
    /// <summary>Day of treatment, ISO date.</summary>
    public string? RightDay { get; set; }
    /// <summary>A <see cref="RecordStanding"/> by name: whether the record holds from now on.</summary>
    public string? Standing { get; set; }

    /// <summary>Something of a placement is to be put right.</summary>
    public bool OfPlacement => new[] { RightAmount, RightRegion, RightSide, RightClass, RightProduct, RightLot, RightExpiry }.Any(typed => !string.IsNullOrWhiteSpace(typed));
}
