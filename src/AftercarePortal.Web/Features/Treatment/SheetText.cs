using AftercarePortal.Clinical.Anatomy;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Web.ContentFiles;
using AftercarePortal.Web.Features.Settings;
using AftercarePortal.Web.Features.Shared;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Treatment;

/// <summary>The aftercare sheet of one treatment in one language, as page and print both show it.</summary>
internal sealed class SheetText
{
    private readonly IReadOnlyDictionary<string, string> _words;
    private readonly Dictionary<string, string> _values;

    /// <param name="language">One of <see cref="Texts.Languages"/>; any other counts as the default.</param>
    public SheetText(TreatmentRow treatment, ClinicRow clinic, SheetContent content, string? language)
    {
        Language = Texts.Languages.Contains(language) ? language! : Texts.DefaultLanguage;
        _words = content.Words[Language];
        _values = new() { ["{clinic}"] = clinic.Name, ["{clinic-line}"] = clinic.ClinicLine, ["{emergency}"] = clinic.EmergencyNumber, ["{date}"] = LocalDatePattern.Iso.Format(treatment.TreatedOn) };
        var (names, classes) = (content.Names[Language], treatment.Placements.Select(p => p.ProductClass).Distinct().ToList());
        string Amount(PlacementRow p) => p.Amount.Replace("units", names["units"], StringComparison.Ordinal);
        Emergency = [.. content.Signs.Where(s => s.Emergency && s.Concerns(classes)).Select(s => s.Says[Language])];
        RingClinic = [.. content.Signs.Where(s => !s.Emergency && s.Concerns(classes)).Select(s => s.Says[Language])];
        Notes = [.. content.Notes.Where(s => s.Concerns(classes)).Select(s => s.Says[Language])];
        Placed =
        [
            .. treatment.Placements.OrderBy(p => p.Ordinal).Select(p => $"{p.Ordinal}. {names[p.ProductClass.Name()]}, {p.ProductName}, {Amount(p)}, {names[Plain.Words(p.Region)]}, {names[Plain.Words(p.Side)]}. "
                + _words["lot"].Replace("{lot}", p.Lot, StringComparison.Ordinal).Replace("{expiry}", LocalDatePattern.Iso.Format(p.Expiry), StringComparison.Ordinal)),
        ];
        Abroad = string.Join("; ", content.Countries.Select(c => $"{c.Name[Language]} {c.Number}")) + ".";
        Version = content.Version.ToString();
    }

    public string Language { get; }
    public IReadOnlyList<string> Emergency { get; }
    public IReadOnlyList<string> RingClinic { get; }
    public IReadOnlyList<string> Placed { get; }
    public IReadOnlyList<string> Notes { get; }
    /// <summary>Emergency numbers of other countries on one line.</summary>
    public string Abroad { get; }
    public string Version { get; }

    /// <summary>Words of the sheet, filled.</summary>
    public string Say(string key) => _values.Aggregate(_words[key], (text, value) => text.Replace(value.Key, value.Value, StringComparison.Ordinal));
}
