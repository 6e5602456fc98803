namespace AftercarePortal.Clinical.Products;

/// <summary>The fields of one element string, or the fault that keeps it from being split.</summary>
internal sealed class Gs1Fields
{
    private const char Separator = '\u001D';
    private static readonly string[] Symbologies = ["]C1", "]d2", "]e0", "]Q3", "]J1"];
    private readonly Dictionary<string, string> values = [];

    /// <summary>The first fault; null when all is well.</summary>
    public Gs1Fault? Fault { get; private set; }

    /// <summary>What was scanned, when nothing in it marks where a field of no fixed length ends; else null.</summary>
    public string? Unmarked { get; private init; }

    /// <summary>A field's value, or null when it is not there.</summary>
    public string? this[string id] => values.GetValueOrDefault(id);

    /// <summary>Splits what was scanned, each field of no fixed length up to the next separator; null when it is no element string with fields known here.</summary>
    public static Gs1Fields? Split(string scanned)
    {
        var text = scanned.Trim(' ', '\r', '\n', '\t');
        if (Array.Find(Symbologies, s => text.StartsWith(s, StringComparison.Ordinal)) is { } symbology) text = text[symbology.Length..];
        text = text.Trim(Separator);
        if (text.Length == 0) return null;
        // One separator that came through shows that this scanner sends them.
        var fields = new Gs1Fields { Unmarked = text[0] == '(' || text.Contains(Separator, StringComparison.Ordinal) ? null : text };
        return (text[0] == '(' ? fields.Printed(text) : fields.Scanned(text)) ? fields : null;
    }

    private bool Scanned(string text)
    {
        while (text.Length > 0)
        {
            if (Gs1Field.BeginningOf(text) is not { } field) return false;
            text = text[field.Id.Length..];
            var end = field.Digits > 0 ? Math.Min(field.Digits, text.Length) : text.IndexOf(Separator, StringComparison.Ordinal) is var at and >= 0 ? at : text.Length;
            Add(field, text[..end]);
            text = text[end..].TrimStart(Separator);
        }

        return true;
    }

    private bool Printed(string text)
    {
        while (text.Length > 0)
        {
            if (Array.Find(Gs1Field.Known, k => text.StartsWith($"({k.Id})", StringComparison.Ordinal)) is not { } field) return false;
            text = text[(field.Id.Length + 2)..];
            // A parenthesis may stand in a lot, too: only one that opens a known field ends the value.
            var end = Gs1Field.Known.Select(k => text.IndexOf($"({k.Id})", StringComparison.Ordinal)).Where(at => at >= 0).DefaultIfEmpty(text.Length).Min();
            Add(field, text[..end].Trim());
            text = text[end..];
        }

        return true;
    }

    private void Add(Gs1Field field, string value)
    {
        if (!field.MayHold(value)) Fault ??= Gs1Fault.FieldWrong;
        else if (!values.TryAdd(field.Id, value)) Fault ??= Gs1Fault.FieldTwice;
    }
}
