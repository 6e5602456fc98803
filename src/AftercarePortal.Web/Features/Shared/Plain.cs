using System.Globalization;
using NodaTime;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>Names of the core as people read them.</summary>
internal static class Plain
{
    /// <summary>For example <c>JawAngle</c> as <c>jaw angle</c>.</summary>
    public static string Words<T>(T name) where T : struct, Enum =>
        string.Concat(name.ToString().Select((c, i) => char.IsUpper(c) ? (i > 0 ? " " : "") + char.ToLowerInvariant(c) : c.ToString()));

    /// <summary>A day as staff read it, for example <c>14 May 2031</c>; patients' pages say it with the words of their language.</summary>
    public static string Day(LocalDate day) => day.ToString("d MMMM uuuu", CultureInfo.InvariantCulture);

    /// <summary>A moment as staff read it, for example <c>14 May 2031, 09:40</c>.</summary>
    public static string Time(ZonedDateTime at) => at.ToString("d MMMM uuuu, HH:mm", CultureInfo.InvariantCulture);

    /// <summary>The same where the weekday counts, for example <c>Wed 14 May 2031, 09:40</c>.</summary>
    public static string Weekday(ZonedDateTime at) => at.ToString("ddd d MMMM uuuu, HH:mm", CultureInfo.InvariantCulture);

    /// <summary>The same where the order within a minute counts, for example <c>14 May 2031, 09:40:12</c>.</summary>
    public static string Seconds(ZonedDateTime at) => at.ToString("d MMMM uuuu, HH:mm:ss", CultureInfo.InvariantCulture);

    /// <summary>The English name of a language the portal writes in.</summary>
    public static string LanguageName(string code) => code is "es" ? "Spanish" : "English";
}
