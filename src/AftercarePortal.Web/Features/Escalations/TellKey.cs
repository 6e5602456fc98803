namespace AftercarePortal.Web.Features.Escalations;

/// <summary>Key of what a report tells its patient: that somebody took it, that nobody did yet, that it waits again.</summary>
/// <param name="Round">The paging round it is told in: once in each.</param>
/// <param name="What"><see cref="Taken"/>, <see cref="NobodyYet"/> or <see cref="Reopened"/>, which are ids of texts.</param>
internal sealed record TellKey(Guid Report, int Round, string What)
{
    public const string Taken = "taken", NobodyYet = "nobody-yet", Reopened = "reopened";

    private const string First = "tell";

    /// <summary>Null: the key is of something else.</summary>
    public static TellKey? Of(string key) => key.Split(':') is [First, var report, var round, var what] && Guid.TryParse(report, out var id) && int.TryParse(round, out var number) ? new(id, number, what) : null;

    /// <summary>As it is stored.</summary>
    public override string ToString() => $"{First}:{Report}:{Round}:{What}";
}
