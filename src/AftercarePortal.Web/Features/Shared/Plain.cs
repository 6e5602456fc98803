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

    /// <summary>The English name of a language the portal writes in.</summary>
    public static string LanguageName(string code) => code is "es" ? "Spanish" : "English";
}
