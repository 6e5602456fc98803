using System.Globalization;
using System.Text;

namespace AftercarePortal.Web.Documents;

/// <summary>Writes into a finished PDF that it is meant to be one of PDF/UA-1; the library does not.</summary>
/// <remarks>Source: ISO 14289-1, clause 5 (the identifier in the metadata), from memory, unchecked.</remarks>
internal static class UniversalAccessMark
{
    private const string Said = """
          <rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/"><pdfuaid:part>1</pdfuaid:part></rdf:Description>

        """;

    /// <summary>The same file with the mark.</summary>
    /// <exception cref="InvalidOperationException">The file is not laid out as the library lays it out: its metadata come last, before the table of objects.</exception>
    public static byte[] AddTo(byte[] file)
    {
        var text = Encoding.Latin1.GetString(file);
        var metadata = text.LastIndexOf("<</Type/Metadata/Subtype/XML/Length ", StringComparison.Ordinal);
        var (length, end, table) = (text.IndexOf("/Length ", Math.Max(metadata, 0), StringComparison.Ordinal) + "/Length ".Length, text.LastIndexOf("    </rdf:RDF>", StringComparison.Ordinal), text.LastIndexOf("startxref", StringComparison.Ordinal) + "startxref".Length);
        var after = text.IndexOf("endobj", Math.Max(end, 0), StringComparison.Ordinal);
        if (metadata < 0 || end < metadata || table < end || !text[(after + "endobj".Length)..].TrimStart().StartsWith("xref", StringComparison.Ordinal)) throw new InvalidOperationException("The metadata of the PDF are not where they were expected.");

        // Nothing but the table of objects lies behind what is inserted, so no other place in the file moves.
        var was = text[length..text.IndexOf('>', length)];
        var now = (int.Parse(was, CultureInfo.InvariantCulture) + Said.Length).ToString(CultureInfo.InvariantCulture);
        var moved = Said.Length + now.Length - was.Length;
        var start = int.Parse(text[table..text.IndexOf("%%EOF", table, StringComparison.Ordinal)].Trim(), CultureInfo.InvariantCulture) + moved;
        return Encoding.Latin1.GetBytes($"{text[..length]}{now}{text[(length + was.Length)..end]}{Said}{text[end..table]}\n{start}\n%%EOF\n");
    }
}
