using System.Globalization;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Web.Features.Settings;

/// <summary>Fills approved texts with a clinic's numbers.</summary>
internal static class ClinicWords
{
    /// <summary>A text to a patient.</summary>
    public static string Fill(this Texts texts, string id, ClinicRow clinic) => texts.Fill(id, Of(clinic));

    /// <summary>A step of an aftercare plan: it names the day it is read on, however late it goes out.</summary>
    /// <param name="day">Days since treatment, 0 or more.</param>
    public static string FillStep(this Texts texts, string id, ClinicRow clinic, int day) =>
        texts.Fill(id, new Dictionary<string, string>(Of(clinic)) { ["day"] = day.ToString(CultureInfo.InvariantCulture) });

    /// <summary>A page to staff: reference and link, never a word of the patient.</summary>
    public static string FillPage(this Texts texts, string id, ClinicRow clinic, string reference, string link) =>
        texts.Fill(id, new Dictionary<string, string>(Of(clinic)) { ["ref"] = reference, ["link"] = link });

    private static Dictionary<string, string> Of(ClinicRow clinic) => new()
    {
        ["clinic"] = clinic.Name, ["clinic-line"] = clinic.ClinicLine, ["emergency"] = clinic.EmergencyNumber,
    };
}
