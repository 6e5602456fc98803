using System.Security.Cryptography;
using System.Text;
using AftercarePortal.Web.Documents;

namespace AftercarePortal.Web.Features.Shared;

/// <summary>A text as a person reads it on a screen and in print: a line each for a title (<c># </c>), a heading (<c>## </c>), what stands out (<c>### </c>), a point (<c>- </c>) or a paragraph.</summary>
internal static class ReadText
{
    /// <summary>The text as it is kept: UTF-8, a line a block, empty blocks left out; a block never runs over its line.</summary>
    public static byte[] BytesOf(IEnumerable<string> blocks) => Encoding.UTF8.GetBytes(string.Join('\n', blocks.Select(b => string.Join(' ', b.Split('\n', '\r')).Trim()).Where(b => b.Length > 0)));

    /// <summary>The blocks of a kept text, in order.</summary>
    public static IReadOnlyList<string> BlocksOf(byte[] bytes) => Encoding.UTF8.GetString(bytes).Split('\n');

    /// <summary>SHA-256, 64 hexadecimal digits.</summary>
    public static string HashOf(byte[] bytes) => Convert.ToHexString(SHA256.HashData(bytes));

    /// <summary>A hash in groups that fit a printed line.</summary>
    public static string Spaced(string hash) => string.Join(' ', hash.Chunk(16).Select(c => new string(c)));

    /// <summary>Prints the blocks, each as what its mark says it is; a point is printed as a paragraph with its dash.</summary>
    public static void Print(this PrintedSheet sheet, IEnumerable<string> blocks)
    {
        foreach (var block in blocks)
            if (block.StartsWith("# ", StringComparison.Ordinal)) sheet.Title(block[2..]);
            else if (block.StartsWith("## ", StringComparison.Ordinal)) sheet.Heading(block[3..]);
            else if (block.StartsWith("### ", StringComparison.Ordinal)) sheet.Strong(block[4..]);
            else sheet.Paragraph(block);
    }
}
