namespace AftercarePortal.Web.Features.Messages;

/// <summary>Whether a whole message is an opt-out, an opt-in, or a request for help.</summary>
/// <remarks>
/// Words: the carrier's documented default keywords. Only the exact word, alone, lower or upper case, with
/// punctuation around it, counts here; anything longer is a report first ("it won't stop bleeding") and a person looks.
/// </remarks>
internal static class StopWords
{
    private static readonly HashSet<string> Stop =
        new(["STOP", "STOPALL", "UNSUBSCRIBE", "CANCEL", "END", "QUIT", "REVOKE", "OPTOUT", "BAJA"], StringComparer.OrdinalIgnoreCase);

    private static readonly HashSet<string> Start = new(["START", "UNSTOP", "ALTA"], StringComparer.OrdinalIgnoreCase);

    private static readonly HashSet<string> Help = new(["HELP", "INFO", "AYUDA"], StringComparer.OrdinalIgnoreCase);

    /// <summary>True when the message is one help word: it may ask how this works, or cry for help, so a person looks all the same.</summary>
    public static bool IsHelp(string text) => Help.Contains(Bare(text));

    /// <summary>True when the message is one stop word.</summary>
    public static bool IsStop(string text) => Stop.Contains(Bare(text));

    /// <summary>True when the message is one start word.</summary>
    public static bool IsStart(string text) => Start.Contains(Bare(text));

    private static string Bare(string text) => text.Trim().Trim('.', '!', '"', '\'', ',', '“', '”', '‘', '’').Trim();
}
