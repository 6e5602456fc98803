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
        return file.ToArray();
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
        if (y + lines.Count * step > bottom) NewPage();
        tags.StructureBuilder.BeginElement(tag);
        foreach (var line in lines)
        {
            page!.DrawString(line, font, XBrushes.Black, new XRect(Margin, y, width, step), XStringFormats.TopLeft);
            y += step;
        }

        tags.StructureBuilder.End();
        y += after;
    }

    private List<string> Wrap(string text, XFont font)
    {
        var lines = new List<string>();
        var line = "";
        foreach (var word in text.Split([' ', '\n', '\r', '\t'], StringSplitOptions.RemoveEmptyEntries))
        {
            var longer = line.Length == 0 ? word : line + " " + word;
            if (line.Length > 0 && page!.MeasureString(longer, font).Width > width)
            {
                lines.Add(line + " ");
                longer = word;
            }

            line = longer;
        }

        lines.Add(line);
        return lines;
    }

    private void NewPage()
    {
        page?.Dispose();
        var sheet = document.AddPage();
        sheet.Size = PdfSharp.PageSize.A4;
        page = XGraphics.FromPdfPage(sheet);
        y = Margin;
        bottom = sheet.Height.Point - Margin;
        width = sheet.Width.Point - 2 * Margin;
    }
}
