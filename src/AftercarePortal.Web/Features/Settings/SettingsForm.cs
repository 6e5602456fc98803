using System.Globalization;
using AftercarePortal.Web.Features.Shared;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>A clinic's settings as typed. The carrier's numbers are not among them: they are set up with the carrier.</summary>
internal sealed class SettingsForm
{
    /// <summary>Up to 100 characters.</summary>
    public string? Name { get; set; }
    /// <summary>Name in the IANA time zone database, for example <c>America/New_York</c>.</summary>
    public string? Zone { get; set; }
    /// <summary>As people dial it, at least 3 digits.</summary>
    public string? EmergencyNumber { get; set; }
    /// <summary>As people dial it, at least 5 digits.</summary>
    public string? ClinicLine { get; set; }
    /// <summary>Time on the clinic's wall clock, <c>HH:mm</c>.</summary>
    public string? QuietFrom { get; set; }
    /// <summary>Time on the clinic's wall clock, <c>HH:mm</c>.</summary>
    public string? QuietTo { get; set; }
    /// <summary>Version of a price list in content; null or empty: none is adopted.</summary>
    public string? PriceList { get; set; }
    /// <summary>Whole number, 50 to 95.</summary>
    public string? RangesHold { get; set; }

    /// <summary>What these settings are, to tell whether a page showed the same.</summary>
    public string Mark() => SeenMark.Of([.. Lines().Select(l => l.Value)]);

    /// <summary>Each setting with its name on the page.</summary>
    public IEnumerable<(string Name, string? Value)> Lines() =>
    [
        ("Name", Name), ("Time zone", Zone), ("Local emergency number", EmergencyNumber), ("The clinic's line", ClinicLine),
        ("Quiet hours from", QuietFrom), ("Quiet hours to", QuietTo), ("Price list", PriceList),
        ("Totals of 100 a price range is to hold", RangesHold),
    ];

    /// <summary>The settings of a clinic as they would be typed.</summary>
    public static SettingsForm Of(ClinicRow clinic) => new()
    {
        Name = clinic.Name, Zone = clinic.Zone, EmergencyNumber = clinic.EmergencyNumber, ClinicLine = clinic.ClinicLine, PriceList = clinic.PriceList,
        RangesHold = clinic.RangesHold.ToString(CultureInfo.InvariantCulture),
        QuietFrom = LocalTimePattern.CreateWithInvariantCulture("HH:mm").Format(clinic.QuietFrom), QuietTo = LocalTimePattern.CreateWithInvariantCulture("HH:mm").Format(clinic.QuietTo),
    };
}
