namespace AftercarePortal.Clinical.Products;

/// <summary>The fields of one element string, or the fault that keeps it from being split.</summary>
internal sealed class Gs1Fields
{
    private const char Separator = '\u001D';
    // Length 0: up to the next separator. 11 (made on) and 240 (catalogue number) stand on packs of devices and are passed over.
    private static readonly (string Id, int Digits, int Most)[] Known = [("01", 14, 0), ("11", 6, 0), ("17", 6, 0), ("10", 0, 20), ("21", 0, 20), ("240", 0, 30)];
    private static readonly string[] Symbologies = ["]C1", "]d2", "]e0", "]Q3", "]J1"];
    private readonly Dictionary<string, string> values = [];

    /// <summary>The first fault; null when all is well.</summary>
    public Gs1Fault? Fault { get; private set; }

    /// <summary>A field's value, or null when it is not there.</summary>
    public string? this[string id] => values.GetValueOrDefault(id);

    /// <summary>Splits what was scanned; null when it is no element string with fields known here.</summary>
    public static Gs1Fields? Split(string scanned)
    {
        var text = scanned.Trim(' ', '\r', '\n', '\t');
        if (Array.Find(Symbologies, s => text.StartsWith(s, StringComparison.Ordinal)) is { } symbology) text = text[symbology.Length..];
        text = text.Trim(Separator);
        var fields = new Gs1Fields();
        if (text.Length == 0) return null;
        return (text[0] == '(' ? fields.Printed(text) : fields.Scanned(text)) ? fields : null;
    }

    private bool Scanned(string text)
    {
        while (text.Length > 0)
        {
            var (id, digits, _) = Array.Find(Known, k => text.StartsWith(k.Id, StringComparison.Ordinal));
            if (id is null) return false;
            text = text[id.Length..];
            var end = digits > 0 ? Math.Min(digits, text.Length) : text.IndexOf(Separator, StringComparison.Ordinal) is var at and >= 0 ? at : text.Length;
            Add(id, text[..end]);
            text = text[end..].TrimStart(Separator);
        }

        return true;
    }

    private bool Printed(string text)
    {
        while (text.Length > 0)
        {
            var (id, _, _) = Array.Find(Known, k => text.StartsWith($"({k.Id})", StringComparison.Ordinal));
            if (id is null) return false;
            text = text[(id.Length + 2)..];
            // A parenthesis may stand in a lot, too: only one that opens a known field ends the value.
            var end = Known.Select(k => text.IndexOf($"({k.Id})", StringComparison.Ordinal)).Where(at => at >= 0).DefaultIfEmpty(text.Length).Min();
            Add(id, text[..end].Trim());
            text = text[end..];
        }

        return true;
    }

    private void Add(string id, string value)
    {
        var (_, digits, most) = Array.Find(Known, k => k.Id == id);
        var right = digits > 0 ? value.Length == digits && value.All(char.IsAsciiDigit) : value.Length >= 1 && value.Length <= most && value.All(MayStand);
        if (!right) Fault ??= Gs1Fault.FieldWrong;
        else if (!values.TryAdd(id, value)) Fault ??= Gs1Fault.FieldTwice;
    }

    // GS1 General Specifications, character set 82, from memory.
    private static bool MayStand(char letter) => char.IsAsciiLetterOrDigit(letter) || "!\"%&'()*+,-./:;<=>?_".Contains(letter);
}
