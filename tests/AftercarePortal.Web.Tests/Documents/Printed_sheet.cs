using AftercarePortal.Web.Documents;
using PdfSharp.Pdf.IO;
using Xunit;

namespace AftercarePortal.Web.Tests.Documents;

/// <summary>What is printed is there to its last word.</summary>
public sealed class Printed_sheet
{
    [Theory]
    [InlineData(1, 1)]
    [InlineData(1100, 4)]
    public void Goes_on_over_as_many_pages_as_its_longest_paragraph_needs(int words, int pages)
    {
        using var sheet = new PrintedSheet("Sheet", "en");
        sheet.Title("Record");
        sheet.Paragraph(string.Join(' ', Enumerable.Range(1, words).Select(n => $"word-{n}")));
        Assert.Equal(pages, Pages(sheet));
    }

    [Fact]
    public void Keeps_what_was_typed_on_lines_of_its_own_on_lines_of_its_own()
    {
        using var sheet = new PrintedSheet("Sheet", "en");
        sheet.Paragraph(string.Join('\n', Enumerable.Range(1, 60).Select(n => $"{n}")));
        Assert.Equal(2, Pages(sheet));
    }

    [Fact]
    public void Cuts_a_word_wider_than_the_page()
    {
        using var sheet = new PrintedSheet("Sheet", "en");
        sheet.Paragraph(new string('x', 4000));
        Assert.Equal(2, Pages(sheet));
    }

    private static int Pages(PrintedSheet sheet)
    {
        using var file = new MemoryStream(sheet.Bytes());
        using var read = PdfReader.Open(file, PdfDocumentOpenMode.Import);
        return read.PageCount;
    }
}
