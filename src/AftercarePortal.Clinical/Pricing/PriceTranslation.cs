using System.Text.RegularExpressions;

namespace AftercarePortal.Clinical.Pricing;

/// <summary>A range in other words of the same model: only sentences change, never a figure.</summary>
public static partial class PriceTranslation
{
    /// <summary>The range with every sentence of the model said in another language.</summary>
    /// <param name="range">Written with <paramref name="own"/>.</param>
    /// <param name="own">The words it was written with.</param>
    /// <param name="other">The words to say it in.</param>
    /// <returns>A sentence that is not one of <paramref name="own"/>, because it is of another version, stays as it is.</returns>
    public static PriceRange In(this PriceRange range, PriceWords own, PriceWords other) => range with
    {
        Reasons = [.. range.Reasons.Select(r => r with { Says = other.Reasons.GetValueOrDefault(r.Id, r.Says) })],
        Lines = [.. range.Lines.Select(l => l with { Says = own.Lines.TryGetValue(l.Id, out var was) && other.Lines.TryGetValue(l.Id, out var now) ? Said(l.Says, was, now, own, other, range.Packages) : l.Says })],
        Narrowings = [.. range.Narrowings.Select(n => n with { Says = other.Narrows.TryGetValue(n.Id, out var now) ? now.Replace("{percent}", $"{n.Percent}", StringComparison.Ordinal) : n.Says })],
        LeftOpen = [.. range.LeftOpen.Select(name => own.Questions.FirstOrDefault(q => q.Value == name).Key is { } id && other.Questions.TryGetValue(id, out var now) ? now : name)],
        Notes = [.. range.Notes.Select(note => own.Notes.FirstOrDefault(n => n.Value == note).Key is { } id && other.Notes.TryGetValue(id, out var now) ? now : WithHoles(note, own, other, range.Packages))],
    };

    // A note that fits neither sentence stays as it is.
    private static string WithHoles(string note, PriceWords own, PriceWords other, IReadOnlyList<RangePackage> packages) =>
        Said(note, own.Staged, other.Staged, own, other, packages) is var said && said != note ? said
            : own.Notes.TryGetValue("package", out var was) && other.Notes.TryGetValue("package", out var now) ? Said(note, was, now, own, other, packages) : note;

    // The holes of the sentence are filled anew: figures stay, names of products and "2 to 3" are words, too.
    private static string Said(string said, string was, string now, PriceWords own, PriceWords other, IReadOnlyList<RangePackage> packages)
    {
        var pattern = Hole().Replace(Regex.Escape(was).Replace(@"\{", "{", StringComparison.Ordinal), hole => $"(?<{hole.Groups[1].Value}>.+?)");
        if (Regex.Match(said, $"^{pattern}$") is not { Success: true } filled) return said;
        return Hole().Replace(now, hole => Value(hole.Groups[1].Value, filled.Groups[hole.Groups[1].Value].Value, own, other, packages));
    }

    private static string Value(string hole, string value, PriceWords own, PriceWords other, IReadOnlyList<RangePackage> packages) => hole switch
    {
        "product" when own.Products.FirstOrDefault(p => p.Value == value).Key is { } code => other.Products.GetValueOrDefault(code, value),
        "product" when own.Products.FirstOrDefault(p => value == Chosen(own, p.Value)).Key is { } code => Chosen(other, other.Products.GetValueOrDefault(code, value)),
        "count" when value.Split($" {own.CountWord} ") is [var low, var high] => $"{low} {other.CountWord} {high}",
        "package" when packages.FirstOrDefault(p => p.Names.GetValueOrDefault(own.Language, p.Id) == value) is { } package => package.Names.GetValueOrDefault(other.Language, value),
        _ => value,
    };

    private static string Chosen(PriceWords words, string product) => words.IfChosen.Replace("{product}", product, StringComparison.Ordinal);

    [GeneratedRegex(@"\{([a-z]+)\}")]
    private static partial Regex Hole();
}
