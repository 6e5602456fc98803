using System.Globalization;
using NodaTime;
using NodaTime.Text;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Reads what people typed or chose; null: it cannot be read.</summary>
internal static class ReadTyped
{
    /// <summary>An ISO date, as a date field sends it.</summary>
    public static LocalDate? Date(string? typed) =>
        LocalDatePattern.Iso.Parse(typed?.Trim() ?? "") is { Success: true } read ? read.Value : null;

    /// <summary>A number without a sign; point or comma.</summary>
    public static decimal? Number(string? typed) =>
        decimal.TryParse(typed?.Trim().Replace(',', '.'), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out var number) ? number : null;

    /// <summary>A name of an enumeration, letter for letter.</summary>
    public static T? Choice<T>(string? typed) where T : struct, Enum =>
        Enum.GetNames<T>().Contains(typed) ? Enum.Parse<T>(typed!) : null;
}
