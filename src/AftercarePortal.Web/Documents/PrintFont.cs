using PdfSharp.Fonts;

namespace AftercarePortal.Web.Documents;

/// <summary>The typeface of printed sheets: DejaVu Sans, a free licence, from Debian's fonts-dejavu-core.</summary>
internal sealed class PrintFont(string folder) : IFontResolver
{
    /// <summary>Name to ask fonts for.</summary>
    public const string Family = "DejaVu Sans";

    /// <summary>Where Debian puts the files.</summary>
    public const string DebianFolder = "/usr/share/fonts/truetype/dejavu";

    private static readonly Lock Once = new();

    /// <summary>Hands the typeface to the PDF library, once in a process.</summary>
    public static void Use()
    {
        lock (Once) GlobalFontSettings.FontResolver ??= new PrintFont(DebianFolder);
    }

    public FontResolverInfo ResolveTypeface(string familyName, bool isBold, bool isItalic) => new(isBold ? "DejaVuSans-Bold" : "DejaVuSans");

    /// <exception cref="InvalidOperationException">The font is not installed; the message says what to install.</exception>
    public byte[] GetFont(string faceName)
    {
        var file = Path.Combine(folder, faceName + ".ttf");
        return File.Exists(file)
            ? File.ReadAllBytes(file)
            : throw new InvalidOperationException($"The font file {faceName}.ttf is missing, so no sheet can be printed. Install the package fonts-dejavu-core.");
    }
}
