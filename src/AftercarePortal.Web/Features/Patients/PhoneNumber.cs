using PhoneNumbers;

namespace AftercarePortal.Web.Features.Patients;

/// <summary>Reads phone numbers as people type them.</summary>
internal static class PhoneNumber
{
    private static readonly PhoneNumberUtil Known = PhoneNumberUtil.GetInstance();

    /// <summary>Country of a number in E.164, ISO 3166-1 two letters, or null.</summary>
    public static string? CountryOf(string number)
    {
        try
        {
            return Known.GetRegionCodeForNumber(Known.Parse(number, null)) ?? Known.GetRegionCodeForCountryCode(Known.Parse(number, null).CountryCode);
        }
        catch (NumberParseException)
        {
            return null;
        }
    }

    /// <summary>The number in E.164, or null when it cannot be one.</summary>
    /// <param name="typed">As typed, for example <c>(202) 555-0123</c>.</param>
    /// <param name="clinicNumber">A number of the clinic, E.164: without a country code the clinic's country is meant.</param>
    /// <remarks>Only length and country are checked: which ranges are in use changes faster than any list, and the carrier will say. A number without its area code rings nobody from elsewhere.</remarks>
    public static string? Read(string? typed, string clinicNumber)
    {
        if (string.IsNullOrWhiteSpace(typed) || typed.Length > 40) return null;
        try
        {
            var country = Known.GetRegionCodeForCountryCode(Known.Parse(clinicNumber, null).CountryCode);
            var number = Known.Parse(typed, country);
            return !number.HasExtension && Known.IsPossibleNumberWithReason(number) is PhoneNumberUtil.ValidationResult.IS_POSSIBLE ? Known.Format(number, PhoneNumberFormat.E164) : null;
        }
        catch (NumberParseException)
        {
            return null;
        }
    }
}
