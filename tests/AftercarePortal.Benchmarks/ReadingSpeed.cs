using System.Diagnostics;
using System.Globalization;
using AftercarePortal.Clinical.Products;
using AftercarePortal.Clinical.Triage;
using AftercarePortal.Web.ContentFiles;

namespace AftercarePortal.Benchmarks;

/// <summary>Readings a second on one core and bytes for each, on short texts; the worst of hostile ones; beside one scan for the same words.</summary>
internal static class ReadingSpeed
{
    private static readonly string[] Short =
    [
        "thanks, a bit sore but all fine", "my skin has gone white where you injected", "ok", "2", "is it normal that the left side is firmer?",
        "veo borroso desde ayer", "no pain, no swelling, all good", "cant brethe proply", "can i move my appointment to friday", "tengo una mancha morada y esta fria",
    ];

    private static readonly ReadingContext DayTwo = new(2, [ProductClass.CaHAFiller], 0);

    public static IEnumerable<string> Run(ContentLibrary content)
    {
        var lexicon = content.Lexicon;
        for (var i = 0; i < 60_000; i++) lexicon.Read(Short[i % Short.Length], DayTwo);
        const int times = 200_000;
        var bytes = GC.GetAllocatedBytesForCurrentThread();
        var (watch, busy) = (Stopwatch.StartNew(), Busy());
        for (var i = 0; i < times; i++) lexicon.Read(Short[i % Short.Length], DayTwo);
        var (wall, seconds) = (watch.Elapsed.TotalSeconds, Busy() - busy);
        bytes = (GC.GetAllocatedBytesForCurrentThread() - bytes) / times;
        var scan = System.Buffers.SearchValues.Create(Words, StringComparison.OrdinalIgnoreCase);
        busy = Busy();
        for (var i = 0; i < times * 10; i++) _ = Short[i % Short.Length].AsSpan().ContainsAny(scan);
        var plain = (Busy() - busy) / 10;
        yield return Line($"{times / seconds:0} readings a second of processor time ({times / wall:0} by the clock of this machine), {1e6 * seconds / times:0.0} us each, {bytes} bytes each; {seconds / plain:0} times one scan for {Words.Length} words");
        foreach (var (name, text) in Hostile())
        {
            for (var i = 0; i < 20; i++) lexicon.Read(text, DayTwo);
            busy = Busy();
            for (var i = 0; i < 100; i++) lexicon.Read(text, DayTwo);
            yield return Line($"  1,600 characters of {name}: {10 * (Busy() - busy):0.00} ms of processor time, mean of 100");
        }
    }

    private static readonly string[] Words = ["white", "blurry", "breathe", "pain", "blister", "cold", "swollen", "fever", "borroso", "respirar", "blanca", "morada", "dolor", "frio"];

    private static IEnumerable<(string Name, string Text)> Hostile()
    {
        string Fill(string piece) => string.Concat(Enumerable.Repeat(piece, (1600 / piece.Length) + 1))[..1600];
        yield return ("one letter", Fill("a"));
        yield return ("words that are almost known", Fill("breathhe swollenn visionn "));
        yield return ("every sign at once", Fill("no eye white cold pain skin side mouth arm speech cant throat swelling "));
        yield return ("unknown long words", Fill("qwertyuiopasdfghjklzx "));
        yield return ("questions and marks", Fill("a?.!, "));
        yield return ("joiners and faces", Fill("\u200d😵\ufe0f"));
    }

    // A machine shared with others stretches the clock; the time the processor spent does not stretch.
    private static double Busy() => Process.GetCurrentProcess().TotalProcessorTime.TotalSeconds;

    private static string Line(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
