namespace AftercarePortal.Web.Features.Shared;

/// <summary>Names of the core as people read them.</summary>
internal static class Plain
{
    /// <summary>For example <c>JawAngle</c> as <c>jaw angle</c>.</summary>
    public static string Words<T>(T name) where T : struct, Enum =>
        string.Concat(name.ToString().Select((c, i) => char.IsUpper(c) ? (i > 0 ? " " : "") + char.ToLowerInvariant(c) : c.ToString()));

    /// <summary>The English name of a language the portal writes in.</summary>
    public static string LanguageName(string code) => code is "es" ? "Spanish" : "English";
}
