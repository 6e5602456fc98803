using PdfSharp.Drawing;
using PdfSharp.Pdf;
using PdfSharp.UniversalAccessibility;

namespace AftercarePortal.Web.Documents;

/// <summary>A tagged A4 sheet, written from top to bottom: headings and paragraphs a screen reader finds as such.</summary>
internal sealed class PrintedSheet : IDisposable
{
    private const double Margin = 56;
    private readonly PdfDocument document = new();
    private readonly UAManager tags;
    private XGraphics? page;
    private double y;
    private double bottom;
    private double width;

    /// <param name="title">Title of the document; no clinical detail.</param>
    /// <param name="language">Language tag of its text, for example <c>en</c>.</param>
    public PrintedSheet(string title, string language)
    {
        PrintFont.Use();
        // The library ends a compressed page without the mark that it has ended, which other readers warn about.
        document.Options.CompressContentStreams = false;
        document.Info.Title = title;
        document.ViewerPreferences.DisplayDocTitle = true;
        tags = UAManager.ForDocument(document);
        tags.SetDocumentLanguage(language);
        NewPage();
    }

    public void Title(string text) => Block(text, PdfBlockLevelElementTag.Heading1, 20, bold: true, after: 8);

    public void Heading(string text) => Block(text, PdfBlockLevelElementTag.Heading2, 14, bold: true, after: 4);

    public void Paragraph(string text) => Block(text, PdfBlockLevelElementTag.Paragraph, 11, bold: false, after: 8);

    public void Strong(string text) => Block(text, PdfBlockLevelElementTag.Paragraph, 13, bold: true, after: 8);

    /// <summary>The finished file.</summary>
    public byte[] Bytes()
    {
        page?.Dispose();
        page = null;
        using var file = new MemoryStream();
        document.Save(file, closeStream: false);
        return UniversalAccessMark.AddTo(file.ToArray());
    }

    public void Dispose()
    {
        page?.Dispose();
        document.Dispose();
    }

    private void Block(string text, PdfBlockLevelElementTag tag, double size, bool bold, double after)
    {
        var font = new XFont(PrintFont.Family, size, bold ? XFontStyleEx.Bold : XFontStyleEx.Regular);
        var step = size * 1.45;
        var lines = Wrap(text, font);
        // A block stays whole where a page can hold it; a longer one goes on over the page.
        if (y + lines.Count * step > bottom && y > Margin && lines.Count * step <= bottom - Margin) NewPage();
        tags.StructureBuilder.BeginElement(tag);
        foreach (var line in lines)
        {
            if (y + step > bottom)
            {
                tags.StructureBuilder.End();
                NewPage();
                tags.StructureBuilder.BeginElement(tag);
            }

            page!.DrawString(line, font, XBrushes.Black, new XRect(Margin, y, width, step), XStringFormats.TopLeft);
            y += step;
        }

        tags.StructureBuilder.End();
        y += after;
    }

    private List<string> Wrap(string text, XFont font)
    {
        var lines = new List<string>();
        foreach (var typed in text.Split('\n').DefaultIfEmpty(""))
        {
            var line = "";
            foreach (var word in typed.Split([' ', '\r', '\t'], StringSplitOptions.RemoveEmptyEntries).SelectMany(w => Pieces(w, font)))
            {
                var longer = line.Length == 0 ? word : line + " " + word;
                if (line.Length > 0 && page!.MeasureString(longer, font).Width > width)
                {
                    lines.Add(line + " ");
                    longer = word;
                }

                line = longer;
            }

            lines.Add(line + " ");
        }

        lines[^1] = lines[^1].TrimEnd();
        return lines;
    }

    // A word longer than the page is wide is cut, never drawn over its edge.
    private IEnumerable<string> Pieces(string word, XFont font)
    {
        var from = 0;
        for (var to = 1; to <= word.Length; to++)
            if (to - from > 1 && page!.MeasureString(word[from..to], font).Width > width)
            {
                yield return word[from..(to - 1)];
                from = to - 1;
            }

        yield return word[from..];
    }

    private void NewPage()
    {
        page?.Dispose();
        var sheet = document.AddPage();
        sheet.Size = PdfSharp.PageSize.A4;
        page = XGraphics.FromPdfPage(sheet);
        // Draws nothing. Without it the library opens the first tag of a page in one text object and closes it in the next.
        page.IntersectClip(new XRect(0, 0, sheet.Width.Point, sheet.Height.Point));
        y = Margin;
        bottom = sheet.Height.Point - Margin;
        width = sheet.Width.Point - 2 * Margin;
    }
}
