using System.Text;

namespace AftercarePortal.Web.Commands;

/// <summary>Reads lines of bounded length, so that no input can fill the memory.</summary>
internal sealed class BoundedLines(TextReader input)
{
    /// <summary>Longest line that is kept, in UTF-16 units.</summary>
    public const int Longest = 1_000_000;

    private readonly char[] buffer = new char[64 * 1024];
    private int at;
    private int end;

    /// <param name="Text">Empty when too long.</param>
    internal sealed record Line(string Text, bool TooLong);

    /// <summary>The next line without its end; null at the end of the input. A line too long is passed over.</summary>
    public Line? ReadLine() => Read(wholeInput: false);

    /// <summary>Everything that is left.</summary>
    public Line ReadAll() => Read(wholeInput: true) ?? new("", false);

    private Line? Read(bool wholeInput)
    {
        StringBuilder? text = null;
        var (tooLong, any) = (false, false);
        while (true)
        {
            if (at == end)
            {
                (at, end) = (0, input.Read(buffer, 0, buffer.Length));
                if (end == 0) return any ? Done(text!, tooLong) : null;
            }

            var stop = wholeInput ? -1 : Array.IndexOf(buffer, '\n', at, end - at);
            var count = (stop < 0 ? end : stop) - at;
            if (stop >= 0 && !any)
            {
                // The usual line lies whole in the buffer.
                var line = new string(buffer, at, count);
                at = stop + 1;
                return new(line, false);
            }

            any = true;
            text ??= new();
            tooLong |= text.Length + count > Longest;
            if (!tooLong) text.Append(buffer, at, count);
            at = stop < 0 ? end : stop + 1;
            if (stop >= 0) return Done(text, tooLong);
        }
    }

    private static Line Done(StringBuilder text, bool tooLong) => tooLong ? new("", true) : new(text.ToString(), false);
}
