using System.Globalization;
using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Treatment;
using AftercarePortal.Web.Features.Shared;

namespace AftercarePortal.Web.Features.Treatment.Plan;

/// <summary>A plan's form, exactly as typed.</summary>
internal sealed class PlanForm
{
    private const int MostDevice = 120, MostAdjuncts = 1000, MostNote = 4000;

    /// <summary>Blank ones are left out when it is saved.</summary>
    public List<Line> Lines { get; set; } = [];
    /// <summary>What goes with it, up to 1000 letters; the patient reads it.</summary>
    public string? Adjuncts { get; set; }
    /// <summary>For the clinic, up to 4000 letters; the patient never reads it.</summary>
    public string? Note { get; set; }

    /// <summary>One line of it.</summary>
    internal sealed class Line
    {
        /// <summary>A <see cref="Clinical.Anatomy.Region"/> by name.</summary>
        public string? Region { get; set; }
        /// <summary>A <see cref="Clinical.Anatomy.Side"/> by name; the patient's own.</summary>
        public string? Side { get; set; }
        /// <summary>Product class as people write it, for example <c>CaHA filler</c>.</summary>
        public string? Product { get; set; }
        /// <summary>mL; units for botulinum toxin type A.</summary>
        public string? Amount { get; set; }
        /// <summary>Needle or cannula, up to 120 letters; empty: left open.</summary>
        public string? Device { get; set; }

        /// <summary>Nothing was typed or chosen.</summary>
        public bool IsBlank => new[] { Region, Side, Product, Amount, Device }.All(string.IsNullOrWhiteSpace);

        /// <summary>The line as far as it can be read.</summary>
        internal PlanLineDraft Draft => new(ReadTyped.Choice<Region>(Region), ReadTyped.Choice<Side>(Side), ProductClassNames.Parse(Product), ReadTyped.Number(Amount));
    }

    /// <summary>A stored version as it would be typed.</summary>
    public static PlanForm Of(TreatmentPlanRow plan) => new()
    {
        Adjuncts = plan.Adjuncts, Note = plan.Note,
        Lines =
        [
            .. plan.Lines.Select(l => new Line
            {
                Region = l.Region.ToString(), Side = l.Side.ToString(), Product = l.ProductClass.Name(), Amount = (l.Hundredths / 100m).ToString("0.##", CultureInfo.InvariantCulture), Device = l.Device,
            }),
        ],
    };

    /// <summary>The deposits that can be read.</summary>
    public IReadOnlyList<Deposit> Deposits => [.. Lines.Select(l => l.Draft.Deposit).OfType<Deposit>()];

    /// <summary>Everything that keeps it from being saved, in words; empty when nothing does.</summary>
    public IReadOnlyList<string> Faults()
    {
        var faults = new List<string>();
        for (var i = 0; i < Lines.Count; i++)
        {
            if (Lines[i].IsBlank) continue;
            faults.AddRange(Lines[i].Draft.Against().Select(why => $"Line {i + 1}: {RefusalWords.OfPlanLine(why, Lines[i].Draft.ProductClass is ProductClass.BotulinumToxinTypeA)}"));
            if (Lines[i].Device?.Trim().Length > MostDevice) faults.Add($"Line {i + 1}: the device is longer than {MostDevice} letters.");
        }

        if (Lines.TrueForAll(l => l.IsBlank)) faults.Add("Plan at least one region.");
        if (Adjuncts?.Trim().Length > MostAdjuncts) faults.Add($"Adjuncts: at most {MostAdjuncts} letters.");
        if (Note?.Trim().Length > MostNote) faults.Add($"Note: at most {MostNote} letters.");
        return faults;
    }
}
