using System.Globalization;

namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Key of a text or call to staff about one report: what it is for, and whom it is meant for.</summary>
/// <param name="What"><see cref="Paged"/>, <see cref="Reminded"/>, <see cref="MoreWritten"/> or <see cref="ToRing"/>.</param>
/// <param name="About">Of a page its round; of the others what sets one apart from the next.</param>
/// <param name="Person">Staff id; may hold anything.</param>
/// <param name="Way"><see cref="ByText"/> or <see cref="ByCall"/>.</param>
internal sealed record PageKey(string What, Guid Report, string About, string Person, string Way)
{
    public const string Paged = "page", Reminded = "remind", MoreWritten = "more", ToRing = "ring";

    /// <summary>The ways.</summary>
    public const string ByText = "text", ByCall = "call";

    /// <summary>The round of a <see cref="Paged"/>.</summary>
    public int Round => int.Parse(About, CultureInfo.InvariantCulture);

    /// <summary>Null: the key is of something else.</summary>
    public static PageKey? Of(string key) => key.Split(':') is [Paged or Reminded or MoreWritten or ToRing, var report, var about, .. var person, var way] && person.Length > 0 && Guid.TryParse(report, out var id)
        ? new(key[..key.IndexOf(':', StringComparison.Ordinal)], id, about, string.Join(':', person), way) : null;

    /// <summary>As it is stored.</summary>
    public override string ToString() => $"{What}:{Report}:{About}:{Person}:{Way}";
}
